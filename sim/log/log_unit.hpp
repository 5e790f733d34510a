#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "quantity/quantity.hpp"
#include "quantity/unit_spellings.hpp"

namespace railseep {

/// A unit as scan tools write it. SI = written * factor + offset; pressures come out gauge.
struct LogUnit {
  std::string_view symbol;
  Quantity quantity;
  double factor;
  double offset;
  bool absolute = false;  // a pressure measured from vacuum

  std::string name() const;  // "kPa abs"
};

/// The name of what it returns reads back to the same unit. Case, blanks and spelling do not matter: "PSIG", "deg C",
/// "msec". Absolute pressures ("psia", "kPa absolute") become gauge.
std::optional<LogUnit> find_log_unit(std::string_view text);

/// Spellings met in logs, without blanks and brackets and in lower case, beside the symbols of units().
std::span<const UnitSpelling> log_unit_spellings();

/// Units that logs hold and the program does not offer.
std::span<const LogUnit> log_only_units();

/// "2163 psi": a value as the file has it.
std::string in_unit(double si, const LogUnit& unit, int digits = 4);

}  // namespace railseep
