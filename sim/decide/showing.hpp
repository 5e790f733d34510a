#pragma once

#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "decide/hypothesis.hpp"
#include "procedure/air_test.hpp"

namespace railseep {

inline constexpr double not_computed = std::numeric_limits<double>::quiet_NaN();
inline constexpr double hot_oil = 363.15;   // oil is taken as warmed to this where no log was hotter than hot_from [K]
inline constexpr double hot_from = 333.15;  // [K]
inline constexpr double faster_cranking = 1.2;  // a second battery beside the first: assumed
inline constexpr double check_crank = 6;        // how long a check cranks [s]
inline constexpr double plugged_crank = 4;      // and with rails plugged [s]
inline constexpr double slow_cranking =
    0.93;  // share of the healthy cranking speed below which charging is worth a thought

/// What one possibility would show while the engine is cranked and at the bench; NaN where it was not computed.
/// Pressures are gauge [Pa].
struct CrankShowing {
  double plateau = not_computed;        // shown, hot, as it cranks now
  double faster = not_computed;         // on a boosted battery
  double charged = not_computed;        // at the speed of charged batteries
  double isolated = not_computed;       // both rails blocked
  std::vector<double> one_rail;         // one for each other block
  double gauge_excess = not_computed;   // mechanical gauge less sensor
  double base_pressure = not_computed;  // lube gallery
  double rest_volts = not_computed;     // [V]
  double hold_time = not_computed;      // to half [s]
};

/// What it would show under shop air: audibility at each listening point [dB].
struct AirShowing {
  std::vector<double> open, energised,
      at_pump;                        // regulator not energised, energised; fed on the pump's side, energised
  bool air_reaches_regulator = true;  // from the sensor's port; else a check valve stops it, and at_pump is computed
};

/// What is to be computed: only what a check in the catalogue asks for.
struct ShowingNeeds {
  bool crank = false, faster = false, charged = false, isolated = false, one_rail = false, hold = false, air = false,
       at_pump = false;
  bool warmed = true;  // the oil can be warmed for it; else everything is done as warm as it was logged
};

/// Everything the possibilities would show, in the order of Belief::possibilities; and what a sound engine would.
struct Showings {
  std::vector<CrankShowing> crank;
  std::vector<AirShowing> air;
  AirShowing sound;
  double oil_temperature = hot_oil;  // of the hot cranks [K]
  double speed = 0;                  // mean cranking speed now [rad/s]
  double healthy_speed = 0;          // of charged batteries and a good starter, hot [rad/s]
  bool hot_logged = false;
  bool warmed = true;                    // the oil can be warmed
  std::optional<double> logged_plateau;  // where the hottest log of a crank ends, if it is hot: gauge [Pa]
  std::vector<std::string> troubles;     // what could not be computed
};

/// How each of the three shop-air checks is done: with a tube, and where the air is fed in. @param id "air open", "air
/// energised" or "air at the pump"
AirTestOptions air_check_options(const Circuit& circuit, std::string_view id);

/// Runs the procedures for every possibility, side by side. @param tick called after each of so many pieces; may throw
/// to stop
Showings showings(const Circuit& circuit, const MatchResult& result, const Belief& belief, const ShowingNeeds& needs,
                  int threads, const std::function<void(std::size_t done, std::size_t all)>& tick);

}  // namespace railseep
