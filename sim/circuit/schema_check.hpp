#pragma once

#include "quantity/json_fields.hpp"

namespace railseep {

/// Compares a circuit file with models/circuit.schema.json, which is built into the program.
/// The reader speaks first and more plainly: what is found here is a rule that only the schema knows.
/// @throws Error with the place in the file
void check_against_schema(const Json& circuit);

}  // namespace railseep
