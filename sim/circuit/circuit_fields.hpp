#pragma once

#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

// What nodes, links and sites of a circuit file have in common. Each throws Error with the place in the file.

[[noreturn]] void refuse_word(const std::string& place, const std::string& found, const std::vector<std::string>& known,
                              const std::string& what);

/// An element of the kind that a file names, with its numbers still to be read.
Element element_of_kind(const std::string& kind, const std::string& place);

/// Sets a number of an element, in the range its kind allows.
void set_checked(Element& element, std::string_view key, double value, const std::string& place);

/// What opens by pressure must be fully open above the pressure at which it begins.
void refuse_unless_rising(double low, double high, const std::string& place);

/// A text that is shown in one line: no line breaks and other control characters, none that turn the direction of
/// writing, no blanks at its ends.
std::string read_line(JsonFields& fields, const char* key);
std::string read_name(JsonFields& fields);
double read_labour(JsonFields& fields, std::optional<double> fallback = std::nullopt);

/// Index of a node that a file names.
int node_named(JsonFields& fields, const char* key, const Circuit& circuit);
std::string access_named(JsonFields& fields, const Circuit& circuit, bool required);

}  // namespace railseep
