#include "procedure/step_test.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

constexpr double longest_start = 15, settle = 4;  // [s]

/// Mean of a channel between two times.
double mean_of(const Trace& trace, std::string_view name, double from, double to) {
  const std::vector<double>& value = trace.find(name).value;
  double sum = 0, n = 0;
  for (std::size_t i = 0; i < value.size(); ++i)
    if (trace.time[i] >= from && trace.time[i] <= to) sum += value[i], ++n;
  return n > 0 ? sum / n : 0;
}

}  // namespace

StepTest step_test(const Circuit& circuit, const Condition& condition, const std::vector<double>& goals, double hold,
                   RunOptions options) {
  options.longest = longest_start + settle + hold * static_cast<double>(goals.size()) + 1;
  EngineRun engine(circuit, condition, options);
  StepTest test;
  test.ran = engine.crank(longest_start).has_value() && engine.run(settle);
  std::vector<double> begins;
  for (const double goal : goals) {
    begins.push_back(engine.time());
    engine.command(goal);
    test.ran = test.ran && engine.run(hold);
  }
  test.trace = engine.take();
  if (!test.ran) return test;
  const std::vector<double>& shown = test.trace.find(signal::shown_pressure).value;
  for (std::size_t k = 0; k < goals.size(); ++k) {
    const double from = begins[k], to = from + hold, goal = goals[k];
    test.settled.push_back(mean_of(test.trace, signal::shown_pressure, from + hold * 2 / 3, to));
    test.duty.push_back(mean_of(test.trace, signal::regulator_duty, from + hold * 2 / 3, to));
    double beyond = 0, response = hold, before = 0;
    for (std::size_t i = 0; i < shown.size(); ++i) {
      const double t = test.trace.time[i];
      if (t <= from) before = shown[i];
      if (t < from || t > to) continue;
      beyond = std::max(beyond, goal > before ? shown[i] - goal : goal - shown[i]);
      if (response == hold && std::abs(shown[i] - goal) < 0.05 * goal) response = t - from;
    }
    test.overshoot.push_back(beyond);
    test.response.push_back(response);
  }
  return test;
}

HighIdle high_idle(const Circuit& circuit, const Condition& condition, double speed, double duration,
                   RunOptions options) {
  options.longest = longest_start + settle + duration + 1;
  EngineRun engine(circuit, condition, options);
  HighIdle result;
  result.ran = engine.crank(longest_start).has_value() && engine.run(settle);
  engine.set_goal(speed);
  const double begin = engine.time();
  result.ran = result.ran && engine.run(duration);
  result.trace = engine.take();
  if (!result.ran) return result;
  const double from = begin + duration / 2, to = begin + duration;
  result.mean = mean_of(result.trace, signal::shown_pressure, from, to);
  result.duty = mean_of(result.trace, signal::regulator_duty, from, to);
  const std::vector<double>& shown = result.trace.find(signal::shown_pressure).value;
  double sum = 0, n = 0;
  for (std::size_t i = 0; i < shown.size(); ++i)
    if (result.trace.time[i] >= from && result.trace.time[i] <= to)
      sum += (shown[i] - result.mean) * (shown[i] - result.mean), ++n;
  result.spread = n > 0 ? std::sqrt(sum / n) : 0;
  return result;
}

}  // namespace railseep
