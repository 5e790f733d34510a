#include "procedure/cranking.hpp"

#include <algorithm>
#include <cmath>

#include "fluid/grade.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

/// Times at which a signal bends: the solver must not step over them.
std::vector<double> bends(const Condition& condition, const CrankOptions& options) {
  std::vector<double> all;
  const auto take = [&](const Profile& profile) {
    all.insert(all.end(), profile.corners().begin(), profile.corners().end());
  };
  take(condition.speed);
  if (options.duty) take(*options.duty), take(condition.battery);
  all.push_back(options.duration);
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

Oil oil_in(const Circuit& circuit, const Condition& condition) {
  return oil_at(find_oil_grade(condition.oil.empty() ? circuit.oil : condition.oil), condition.oil_temperature);
}

}  // namespace

Cranking::Cranking(const Circuit& circuit, const Condition& condition, const CrankOptions& options)
    : network_(circuit, oil_in(circuit, condition)),
      condition_(condition),
      measured_duty_(options.duty),
      module_(circuit.control, condition.oil_temperature),
      sample_time_(circuit.control.sample_time),
      bends_(bends(condition, options)),
      sensor_(circuit.only<Sensor>()),
      regulator_(circuit.only<Regulator>()) {
  if (sensor_ < 0) throw Error(circuit.name, "the circuit has no pressure sensor", "add a link of kind \"sensor\"");
  if (condition.speed.empty()) throw Error("condition", "no cranking speed is given", "give one such as \"170 rpm\"");
}

Cranking::State Cranking::start() const {
  return network_.rest(std::vector<double>(network_.circuit().nodes.size(), condition_.rest_air));
}

double Cranking::next_sample(double t) const { return sample_time_ * (1 + std::round(t / sample_time_)); }

double Cranking::next_stop(double t) const {
  const double bend = *std::upper_bound(bends_.begin(), bends_.end(), t);
  if (measured_duty_) return bend;
  return std::min(bend, t >= sampled_ ? next_sample(t) : sampled_);
}

void Cranking::sample(double t, const State& state) {
  if (measured_duty_ || t < sampled_) return;
  duty_ = module_.sample(shown(state));
  held_voltage_ = duty_ * condition_.battery.at(t);
  sampled_ = next_sample(t);
}

Signals<double> Cranking::signals(double t) const {
  return {condition_.speed.at(t), measured_duty_ ? measured_duty_->at(t) * condition_.battery.at(t) : held_voltage_};
}

Signals<double> Cranking::signal_rates(double t) const {
  double voltage = 0;
  if (measured_duty_)
    voltage =
        measured_duty_->slope_at(t) * condition_.battery.at(t) + measured_duty_->at(t) * condition_.battery.slope_at(t);
  return {condition_.speed.slope_at(t), voltage};
}

double Cranking::shown(const State& state) const {
  const auto& sensor = std::get<Sensor>(network_.circuit().links[sensor_].element);
  return sensor.shown_pressure(network_.own(state, sensor_, 0));
}

double Cranking::actual(const State& state) const {
  return network_.view(state, network_.circuit().links[sensor_].from).pressure - atmospheric_pressure;
}

double Cranking::current(const State& state) const { return regulator_ < 0 ? 0 : network_.own(state, regulator_, 0); }

Error Cranking::describe(const StepTrouble& trouble) const {
  return {"t = " + std::to_string(trouble.time) + " s",
          "\"" + network_.name_of_state(static_cast<int>(trouble.worst)) + "\" needs steps below " +
              format_quantity(trouble.step, Quantity::time, "us", 2),
          "look at the volumes and sizes there"};
}

}  // namespace railseep
