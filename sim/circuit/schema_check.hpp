#pragma once

#include <optional>
#include <string>

#include "quantity/json_fields.hpp"

namespace railseep {

/// Compares a circuit file with models/circuit.schema.json, which is built into the program.
/// The reader speaks first and more plainly: what is found here is a rule that only the schema knows.
/// @throws Error with the place in the file
void check_against_schema(const Json& circuit);

/// What a schema (draft 7) finds wrong with a value: place and reason of the first mistake, or nothing.
struct SchemaMistake {
  std::string place, reason;
};
std::optional<SchemaMistake> schema_mistake(const Json& schema, const Json& value);

}  // namespace railseep
