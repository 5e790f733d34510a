#include "procedure/cranking.hpp"

#include <algorithm>
#include <cmath>

#include "drive/starter.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

/// The condition with speed and battery filled in by the starter where they are not given.
Condition with_starter(const Circuit& circuit, Condition condition, double duration) {
  if (!condition.speed.empty()) return condition;
  const Starter starter(circuit.starter, oil_of(circuit, condition).viscosity, condition.battery_charge);
  condition.speed = starter.speed_profile(duration);
  condition.battery = starter.battery_profile(duration);
  return condition;
}

/// Times at which a signal bends: the solver must not step over them.
std::vector<double> bends(const Condition& condition, const CrankOptions& options) {
  std::vector<double> all{0, options.duration};
  const auto take = [&](const Profile& profile) {
    for (const double t : profile.corners())
      if (t > 0 && t < options.duration) all.push_back(t);
  };
  take(condition.speed);
  for (const auto& [tank, pressure] : condition.tank_pressure) take(pressure);
  if (options.duty) take(*options.duty), take(condition.battery);
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

/// Tanks that the condition gives a pressure of their own, by index.
std::vector<std::pair<int, Profile>> tanks(const Circuit& circuit, const Condition& condition) {
  std::vector<std::pair<int, Profile>> all;
  for (const auto& [name, pressure] : condition.tank_pressure) {
    const int node = circuit.find_node(name);
    if (!circuit.nodes[node].tank)
      throw Error("condition", "a pressure is given for \"" + name + "\", which is no tank",
                  "name a node that has a \"tank_pressure\" in the circuit");
    all.emplace_back(node, pressure);
  }
  return all;
}

}  // namespace

Cranking::Cranking(const Circuit& circuit, const Condition& condition, const CrankOptions& options)
    : condition_(with_starter(circuit, condition, options.duration)),
      measured_duty_(options.duty),
      side_(circuit, condition_, options.ripple),
      module_(circuit.control, condition.oil_temperature),
      sample_time_(circuit.control.sample_time),
      tanks_(tanks(circuit, condition)),
      bends_(bends(condition_, options)) {
  if (options.wanted) module_.command(*options.wanted);
  side_.set_pulse(options.pulse);
}

double Cranking::next_sample(double t) const { return sample_time_ * (1 + std::round(t / sample_time_)); }

double Cranking::next_stop(double t) const {
  const double bend = *std::upper_bound(bends_.begin(), bends_.end() - 1, t);
  if (measured_duty_) return bend;
  return std::min(bend, t >= sampled_ ? next_sample(t) : sampled_);
}

void Cranking::hold_tanks(double t) {
  for (const auto& [node, pressure] : tanks_) side_.set_tank_pressure(node, pressure.held_at(t));
}

void Cranking::sample(double t, const State& state) {
  hold_tanks(t);
  const EngineState& engine = side_.circuit().engine;
  const double share = starter_share(side_.circuit(), condition_);
  side_.set_speed(t, share * condition_.speed.at(t), share * condition_.speed.slope_at(t));
  if (measured_duty_) {
    side_.set_battery(t, condition_.battery.at(t), condition_.battery.slope_at(t));
    side_.set_duty(t, measured_duty_->at(t), measured_duty_->slope_at(t));
    return;
  }
  if (t < sampled_) return;
  // Between samples the module holds both its duty and the voltage it reckoned with.
  side_.set_battery(t, condition_.battery.at(t), 0);
  const double duty = side_.believed(state) ? module_.sample(shown(state)) : module_.sample_blind();
  side_.set_duty(t, engine.regulator_driver > 0.5 ? duty : side_.circuit().control.least_duty);
  sampled_ = next_sample(t);
}

}  // namespace railseep
