#pragma once

namespace railseep {

/// Text of models/circuit.schema.json, put into the library when it is built.
extern const char* const circuit_schema_text;

}  // namespace railseep
