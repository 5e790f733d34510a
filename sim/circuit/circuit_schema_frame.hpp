#pragma once

namespace railseep {

/// What the schema of circuit files says beside the numbers of the elements: sim/circuit/circuit_schema_frame.json, put
/// into the library when it is built.
extern const char* const circuit_schema_frame;

}  // namespace railseep
