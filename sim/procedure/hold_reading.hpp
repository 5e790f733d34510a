#pragma once

#include <cstdint>

namespace railseep {

/// How far a hold test is off when it is done with real fittings and a real gauge.
///
/// Source: pressure-hold tests of small chambers at 7 to 8 bar, E. Zillen, H. Vallery, G. Smit (2021), open data (CC0):
/// the same part rerun untouched fell by 19.8, 19.2 and 25.4 mbar in 120 s, after reconnecting by 45.7, 70.5 and 50.1
/// mbar.
struct HoldScatter {
  double rerun = 0.16;        // of the fall, from one run to the next [-]
  double reconnected = 0.24;  // of the fall, when the fitting was taken off and put on again [-]
};

/// The time of a fall as one try would give it: its rate is scaled by one draw of the run's scatter. The same for the
/// same seed on every machine.
/// @param reconnected the fitting was off since the last run
double fall_time_as_read(double time, bool reconnected, std::uint64_t seed, const HoldScatter& scatter = {});

}  // namespace railseep
