#pragma once

#include <string>

#include "circuit/circuit.hpp"

namespace railseep {

/// Reads a circuit file (models/circuit.schema.json describes it). @throws Error with file, place in the file, found,
/// expected
Circuit read_circuit(const std::string& path);

/// @param place shown in front of every message
Circuit parse_circuit(const std::string& text, const std::string& place);

/// The circuit as the text of a circuit file: reads back to the same circuit.
std::string circuit_text(const Circuit& circuit);

}  // namespace railseep
