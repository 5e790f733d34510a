#pragma once

#include <span>
#include <string_view>

namespace railseep {

/// Another way to write the symbol of a unit: "C" for "degC".
struct UnitSpelling {
  std::string_view written, symbol;
};

/// Spellings that parse_quantity() and find_unit() read beside the symbols of units().
std::span<const UnitSpelling> unit_spellings();

}  // namespace railseep
