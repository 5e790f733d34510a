#pragma once

#include "circuit/circuit.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

/// The "listening" section of a circuit file. @param circuit with its access groups, links and sites already read
Listening read_listening(JsonFields fields, const Circuit& circuit);
Json listening_json(const Listening& listening);

}  // namespace railseep
