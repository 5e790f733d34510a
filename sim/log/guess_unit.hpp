#pragma once

#include <string>
#include <vector>

#include "log/channel_kind.hpp"

namespace railseep {

struct UnitGuess {
  std::string unit;
  std::string why;      // "largest 512, so psi"
  bool certain = true;  // false: the numbers would fit another unit as well
};

/// The unit of a channel from nothing but its numbers, in the order they were written.
/// A "pressure" that rests at a sensor's zero and stays below 5.1 comes out in V: it is the sensor's voltage.
UnitGuess guess_unit(ChannelKind kind, const std::vector<double>& written);

/// The unit of a time column: between samples lie some 20 ms to 2 s.
UnitGuess guess_time_unit(double usual_step);

}  // namespace railseep
