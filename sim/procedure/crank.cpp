#include "procedure/crank.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "drive/control_module.hpp"
#include "drive/starter.hpp"
#include "procedure/oil_side.hpp"
#include "procedure/recorder.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

/// Times at which a signal bends: the solver must not step over them.
std::vector<double> corners(const Condition& condition, const CrankOptions& options) {
  std::vector<double> all{options.duration};
  const auto take = [&](const Profile& profile) { all.insert(all.end(), profile.corners().begin(), profile.corners().end()); };
  take(condition.speed);
  if (options.duty) take(*options.duty), take(condition.battery);
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

/// The condition with speed and battery filled in by the starter where they are not given.
Condition with_starter(const Circuit& circuit, Condition condition, double duration) {
  if (!condition.speed.empty()) return condition;
  const Starter starter(circuit.starter, oil_of(circuit, condition).viscosity, condition.battery_charge);
  condition.speed = starter.speed_profile(duration);
  condition.battery = starter.battery_profile(duration);
  return condition;
}

double late_mean(const Trace& trace, std::string_view name) {
  const std::vector<double>& value = trace.find(name).value;
  const auto first = std::lower_bound(trace.time.begin(), trace.time.end(), 0.8 * trace.time.back()) - trace.time.begin();
  return std::accumulate(value.begin() + first, value.end(), 0.0) / static_cast<double>(value.size() - first);
}

}  // namespace

CrankResult crank(const Circuit& circuit, const Condition& given, const CrankOptions& options) {
  const Condition condition = with_starter(circuit, given, options.duration);
  OilSide side(circuit, condition, options.tolerance, options.ripple);
  side.set_pulse(options.pulse);
  ControlModule module(circuit.control, condition.oil_temperature);
  if (options.wanted) module.command(*options.wanted);
  Recorder recorder(side, options.pressure_only ? Recorder::Keep::pressure_only : Recorder::Keep::crank,
                    options.output_times.empty() ? Recorder::even_times(options.output_interval, options.duration) : options.output_times);
  recorder.set_wanted(module.wanted());
  const OilSide::Take take = [&](double t, const Network::State& state) { return recorder.record(t, state); };

  const std::vector<double> stops = corners(condition, options);
  const double sample_time = circuit.control.sample_time, turned = circuit.engine.cranking_speed;
  double next_sample = 0;
  while (side.time() < options.duration) {
    const double t = side.time();
    side.set_speed(turned * condition.speed.at(t), turned * condition.speed.slope_at(t));
    if (options.duty) {
      side.set_battery(condition.battery.at(t), condition.battery.slope_at(t));
      side.set_duty(options.duty->at(t), options.duty->slope_at(t));
    } else if (t >= next_sample) {
      // Between samples the module holds both its duty and the voltage it reckoned with.
      side.set_battery(condition.battery.at(t), 0);
      const double duty = module.sample(side.shown(side.state()));
      side.set_duty(circuit.engine.regulator_driver > 0 ? duty : circuit.control.least_duty);
      next_sample = sample_time * (1 + std::round(t / sample_time));
    }
    if (t == 0)
      while (recorder.next_time() <= 0) recorder.record(recorder.next_time(), side.state());
    const double corner = std::min(*std::upper_bound(stops.begin(), stops.end(), t), options.duration);
    side.advance(options.duty ? corner : std::min(corner, next_sample), recorder.next_time(), take);
  }
  return {recorder.take(), side.counters()};
}

CrankSummary summarise(const Circuit& circuit, const Trace& trace) {
  CrankSummary summary;
  const std::vector<double>& shown = trace.find(shown_pressure).value;
  const ControlModule module(circuit.control, 300);
  for (std::size_t i = 0; i < shown.size(); ++i) {
    summary.peak = std::max(summary.peak, shown[i]);
    if (!summary.time_to_enable && shown[i] >= circuit.control.enable_pressure) summary.time_to_enable = trace.time[i];
    summary.injection_enabled |= circuit.engine.synchronised > 0 && module.enables_injection(trace.time[i], shown[i]);
  }
  summary.plateau = late_mean(trace, shown_pressure);
  summary.duty = late_mean(trace, regulator_duty);
  return summary;
}

namespace {

/// Nodes that the high-pressure pump fills: what leaves them into a tank is a use of its oil.
std::vector<bool> fed_by_pump(const Circuit& circuit) {
  std::vector<bool> fed(circuit.nodes.size(), false);
  const int pump = circuit.only<Pump>();
  if (pump < 0) return std::vector<bool>(circuit.nodes.size(), true);
  fed[circuit.links[pump].to] = true;
  for (bool grew = true; grew;) {
    grew = false;
    for (const Link& link : circuit.links) {
      if (std::holds_alternative<Pump>(link.element) || circuit.nodes[link.from].tank || circuit.nodes[link.to].tank) continue;
      if (fed[link.from] != fed[link.to]) fed[link.from] = fed[link.to] = grew = true;
    }
  }
  return fed;
}

}  // namespace

OilBalance balance(const Circuit& circuit, const Trace& trace) {
  const std::vector<bool> fed = fed_by_pump(circuit);
  OilBalance result;
  double used = 0;
  for (const Link& link : circuit.links) {
    if (std::holds_alternative<Sensor>(link.element)) continue;
    const double flow = late_mean(trace, link.name + " flow");
    if (const Pump* pump = std::get_if<Pump>(&link.element)) {
      const double displaced = pump->displaced(Signals<double>{late_mean(trace, engine_speed), 0});
      result.displaced += displaced;
      result.slip += displaced - flow;
    } else if (circuit.nodes[link.to].tank && fed[link.from]) {
      result.uses.push_back({link.name, flow});
      used += flow;
    }
  }
  result.stored = result.displaced - result.slip - used;
  return result;
}

}  // namespace railseep
