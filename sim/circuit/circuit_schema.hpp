#pragma once

#include "quantity/json_fields.hpp"

namespace railseep {

/// The JSON Schema (draft 7) of circuit files: the frame, with the definitions of all links, of their numbers and of
/// the starter as their parameter tables say. models/circuit.schema.json is this, for editors and readers.
Json circuit_schema();

}  // namespace railseep
