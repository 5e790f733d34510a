#include "evidence/situation.hpp"

#include <algorithm>

#include "procedure/crank.hpp"
#include "procedure/idle.hpp"
#include "procedure/isolate.hpp"
#include "procedure/key_off_hold.hpp"

namespace railseep {

namespace {

constexpr double rows_apart = 0.05;  // [s]

Trace done(const Circuit& circuit, const Situation& situation, bool firing) {
  const Condition condition = situation.condition();
  CrankOptions options;
  options.duration = situation.cranked;
  options.output_interval = rows_apart;
  options.tolerance = Procedures::tolerance;
  if (firing) options.pulse = circuit.control.crank_pulse;
  switch (situation.done) {
    case Situation::Done::key_on:
      return {};
    case Situation::Done::crank:
      return situation.block.empty() ? crank(circuit, condition, options).trace
                                     : isolate(circuit, condition, situation.block, options).trace;
    case Situation::Done::idle:
      return idle(circuit, condition, options).trace;
    case Situation::Done::key_off: {
      RunOptions run;
      run.output_interval = 2 * rows_apart;
      run.tolerance = Procedures::tolerance;
      return key_off_hold(circuit, condition, situation.cranked, Procedures::watched, run);
    }
  }
  return {};
}

}  // namespace

Condition Situation::condition() const {
  Condition condition;
  condition.oil = oil;
  condition.oil_temperature = oil_temperature;
  if (speed) condition.speed = Profile(*speed), condition.speed_measured = true;
  if (battery) condition.battery = Profile(*battery);
  if (rest_air) condition.rest_air = *rest_air;
  condition.rest_time = rest_time;
  return condition;
}

const Trace& Procedures::trace(const Situation& situation, bool firing) {
  for (const auto& known : done_)
    if (known->firing == firing && known->situation == situation) return known->trace;
  done_.push_back(std::make_unique<Done>(Done{situation, firing, done(circuit_, situation, firing)}));
  return done_.back()->trace;
}

double plateau(const Trace& trace, std::string_view channel) {
  const std::vector<double>& value = trace.find(channel).value;
  const double from = 0.8 * trace.time.back();
  double sum = 0, count = 0;
  for (std::size_t i = 0; i < value.size(); ++i)
    if (trace.time[i] >= from) sum += value[i], count += 1;
  return sum / count;
}

double peak(const Trace& trace, std::string_view channel) {
  const std::vector<double>& value = trace.find(channel).value;
  return *std::max_element(value.begin(), value.end());
}

}  // namespace railseep
