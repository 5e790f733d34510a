#pragma once

#include "procedure/engine_run.hpp"

namespace railseep {

/// What happens between two starts.
struct StoryOptions {
  double longest_crank = 15;  // [s]; a starter needs its rest
  double idle_cold = 5;       // [s]
  double warm_to = 363.15;    // oil [K]
  double warm_rate =
      4;  // [K/s]: a time-lapse, minutes of warming up pass in seconds; the oil side settles within tenths of one
  double idle_hot = 5;     // [s]
  double decay = 20;       // recorded after key-off [s]
  double rest_time = 300;  // stands hot [s]
  RunOptions run;
};

/// What the driver tells.
struct Story {
  Trace trace;
  std::optional<double> first_start;  // cranking time until it ran [s]
  bool idled_cold = false, idled_hot = false;
  double hot_idle_duty = 0, hot_idle_pressure = 0;  // shown, at the end of the hot idle
  std::optional<double> restart;
  double restart_peak = 0;  // shown while cranking hot, gauge [Pa]
};

/// Crank -> fires -> idles -> warms up -> key off -> stands -> hot restart. What fails ends the story.
Story start_warm_restart(const Circuit& circuit, const Condition& condition, const StoryOptions& options = {});

}  // namespace railseep
