#pragma once

#include <cstdint>
#include <vector>

namespace railseep {

/// How far a hold test is off when it is done with real fittings and a real gauge.
///
/// Source: pressure-hold tests of small chambers at 7 to 8 bar, E. Zillen, H. Vallery, G. Smit (2021), open data (CC0): samples scatter by 2.2 to
/// 2.4 mbar; the same part rerun untouched fell by 19.8, 19.2 and 25.4 mbar in 120 s, after reconnecting by 45.7, 70.5 and 50.1 mbar.
struct HoldScatter {
  double sample_noise = 230;   // one standard deviation of a sample [Pa]
  double rerun = 0.16;         // of the fall, from one run to the next [-]
  double reconnected = 0.24;   // of the fall, when the fitting was taken off and put on again [-]
};

/// A fall of pressure as a gauge would show it: the fall is scaled by one draw of the run's scatter, and every sample has its noise.
/// The same for the same seed on every machine. @param reconnected the fitting was off since the last run
std::vector<double> fall_as_read(const std::vector<double>& pressure, bool reconnected, std::uint64_t seed, const HoldScatter& scatter = {});

/// The time of a fall as one try would give it: the fall's rate is scaled by the same draw.
double fall_time_as_read(double time, bool reconnected, std::uint64_t seed, const HoldScatter& scatter = {});

}  // namespace railseep
