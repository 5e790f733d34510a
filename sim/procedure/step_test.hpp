#pragma once

#include "procedure/engine_run.hpp"

namespace railseep {

/// Regulator step test: the engine idles, a tool commands one pressure after another.
struct StepTest {
  Trace trace;
  bool ran = false;               // it started and never stalled
  std::vector<double> settled;    // mean shown pressure over the last third of each step, gauge [Pa]
  std::vector<double> duty;       // and mean duty
  std::vector<double> overshoot;  // furthest beyond the goal, in the direction of the step [Pa]
  std::vector<double> response;   // time until within 5 % of the goal [s], the step's length if never
};
StepTest step_test(const Circuit& circuit, const Condition& condition, const std::vector<double>& goals,
                   double hold = 3, RunOptions options = {});

/// Extended idle at speed: held there so long (the trade: 3300 rpm for 3 min, to see whether the oil froths).
struct HighIdle {
  Trace trace;
  bool ran = false;
  double mean = 0, spread = 0;  // of the shown pressure, second half: mean and standard deviation [Pa]
  double duty = 0;              // mean, second half
};
HighIdle high_idle(const Circuit& circuit, const Condition& condition, double speed, double duration,
                   RunOptions options = {});

}  // namespace railseep
