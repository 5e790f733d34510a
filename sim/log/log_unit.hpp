#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "quantity/quantity.hpp"

namespace railseep {

/// A unit as scan tools write it. SI = written * factor + offset; pressures come out gauge.
struct LogUnit {
  std::string symbol;
  Quantity quantity;
  double factor;
  double offset;
};

/// The symbol it returns reads back to the same unit. Case, blanks and spelling do not matter: "PSIG", "deg C", "msec".
/// Absolute pressures ("psia") become gauge.
std::optional<LogUnit> find_log_unit(std::string_view text);

}  // namespace railseep
