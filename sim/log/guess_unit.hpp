#pragma once

#include <optional>
#include <string>
#include <vector>

#include "channel/channel_kind.hpp"
#include "log/log_options.hpp"

namespace railseep {

/// What the numbers of a column look like, as they were written.
struct NumberFacts {
  std::size_t count = 0;
  double least = 0,
         most = 0;     // from 20 samples on without the uppermost 2 %: a single wild value must not choose the unit
  double step = 0;     // smallest difference between two of them; 0: all are equal
  bool whole = false;  // no number has decimals
};

NumberFacts facts_of(const std::vector<double>& written, double factor = 1);

struct UnitGuess {
  std::string unit;
  std::string why;                     // "512 is ... only in psi"
  bool certain = true;                 // false: it is a guess, to be shown
  std::vector<std::string> open = {};  // more than one: the numbers fit them all, and the answer depends on which it is
};

/// What stands beside a column of pressures without a unit.
struct BesidePressure {
  std::optional<NumberFacts> other;        // the column of its pair (desired beside actual), also without a unit
  std::optional<std::string> other_unit;   // or that column's unit, as written or told
  std::optional<double> highest_by_volts;  // of the sensor's volts in the same file [Pa]
  bool engine_runs = false;                // somewhere in the log
  EngineHints engine = {};
};

/// The unit of an actual or desired rail pressure. Bounds of the trade (common practice, no source): rails hold at most
/// 32 MPa; what the module asks for is at least what injection needs; no tool writes whole MPa; a running engine holds
/// most of the pressure it needs.
UnitGuess guess_rail_unit(ChannelKind kind, const NumberFacts& facts, const BesidePressure& beside);

/// The unit of the temperatures of one file, which one tool writes in one unit. @param all facts of each column without
/// a unit
UnitGuess guess_temperature_unit(const std::vector<NumberFacts>& all);

/// The unit of any other channel from nothing but its numbers.
UnitGuess guess_unit(ChannelKind kind, const NumberFacts& facts);

/// The unit of a column of times: between samples lie some 5 ms to 10 s, and a log lasts a second to an hour.
/// @param usual_step and span as written; @param first the first time as written (days since 1900 are large)
UnitGuess guess_time_unit(double usual_step, double span, double first, std::size_t count);

}  // namespace railseep
