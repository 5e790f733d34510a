#pragma once

#include <optional>
#include <string_view>

#include "decide/check.hpp"
#include "evidence/reading.hpp"

namespace railseep {

/// What the match would take if the reading of a check were typed in: the one place that says how far such a reading is
/// believed. The plan of checks forecasts with it, and a told outcome becomes evidence by it.
struct CheckReading {
  ChannelKind kind = ChannelKind::rail_pressure;
  Situation::Done done = Situation::Done::crank;
  bool error_is_share = true;   // Check::error is a share of the value; else in its unit, SI
  std::string_view block = {};  // what is plugged meanwhile

  /// Of the one who reads and of his gauge: one standard deviation, SI.
  double tolerance(const Check& check, double value) const {
    return error_is_share ? check.error * value : check.error;
  }

  /// How far what is read may be from what is computed: one standard deviation, SI.
  double deviation(const Check& check, double computed, const Circuit& circuit) const;
};

/// @return nullopt for a check that is no single reading which the model computes
std::optional<CheckReading> reading_of_check(std::string_view id);

}  // namespace railseep
