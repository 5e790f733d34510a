#include "procedure/oil_side.hpp"

#include <algorithm>

#include "quantity/error.hpp"

namespace railseep {

namespace {

/// The circuit with what the condition adds to its oil.
Circuit aerated(Circuit circuit, const Condition& condition) {
  const double air = condition.air_in_oil + circuit.engine.air_in_oil;
  if (!(air >= 0 && air <= 0.3))
    throw Error("condition",
                "an air share of " + format_quantity(air, Quantity::ratio, "%") + " in the oil is out of range",
                "write 0 % to 30 % in all");
  for (Node& node : circuit.nodes)
    if (node.tank || node.reservoir) node.free_air = std::min(0.99, node.free_air + air);
  return circuit;
}

}  // namespace

OilSide::OilSide(const Circuit& circuit, const Condition& condition, bool ripple)
    : network_(aerated(circuit, condition), oil_of(circuit, condition)),
      ripple_(ripple),
      sensor_(circuit.only<Sensor>()),
      regulator_(circuit.only<Regulator>()) {
  if (sensor_ < 0) throw Error(circuit.name, "the circuit has no pressure sensor", "add a link of kind \"sensor\"");
}

OilSide::State OilSide::start(const Condition& condition) const {
  return network_.rest(standing_air(circuit(), network_.oil(), condition));
}

void OilSide::set_speed(double t, double value, double slope) {
  const double dt = t - speed_.t0;
  angle_ += dt * (speed_.value + 0.5 * speed_.slope * dt);
  speed_ = {t, value, slope};
}

OilSide::State OilSide::set_oil(const Oil& oil, const State& state) {
  Network other(network_.circuit(), oil);
  State carried = other.carried_over(network_, state);
  network_ = std::move(other);
  return carried;
}

Signals<double> OilSide::signals(double t) const {
  double voltage = 0;
  if (regulator_ >= 0)
    voltage = std::get<Regulator>(circuit().links[regulator_].element).mean_voltage(duty_.at(t), battery_.at(t));
  const double dt = t - speed_.t0;
  return {speed_.at(t), voltage, angle_ + dt * (speed_.value + 0.5 * speed_.slope * dt),
          ripple_,      pulse_,  coil_warming_};
}

Signals<double> OilSide::signal_rates(double t) const {
  if (regulator_ < 0 || (duty_.slope == 0 && battery_.slope == 0)) return {speed_.slope, 0};
  // The mean voltage is a straight line in each of its two arguments.
  const auto& regulator = std::get<Regulator>(circuit().links[regulator_].element);
  const double by_duty = regulator.mean_voltage(1, battery_.at(t)) - regulator.mean_voltage(0, battery_.at(t));
  return {speed_.slope, by_duty * duty_.slope + regulator.mean_voltage(duty_.at(t), 1) * battery_.slope};
}

double OilSide::shown(const State& state) const {
  return std::get<Sensor>(circuit().links[sensor_].element)
      .shown_pressure(network_.own(state, sensor_, 0), network_.oil().temperature);
}

double OilSide::volts(const State& state) const {
  return std::get<Sensor>(circuit().links[sensor_].element)
      .volts(network_.own(state, sensor_, 0), network_.oil().temperature);
}

bool OilSide::believed(const State& state) const {
  return std::get<Sensor>(circuit().links[sensor_].element).believed(volts(state));
}

double OilSide::actual(const State& state) const {
  return network_.view(state, circuit().links[sensor_].from).pressure - atmospheric_pressure;
}

double OilSide::current(const State& state) const { return regulator_ < 0 ? 0 : network_.own(state, regulator_, 0); }

double OilSide::coil_power(const State& state) const {
  if (regulator_ < 0) return 0;
  const double i = current(state);
  return i * i * std::get<Regulator>(circuit().links[regulator_].element).hot_resistance(coil_warming_);
}

Error OilSide::describe(const StepTrouble& trouble, const State& state) const {
  const std::string place = "t = " + std::to_string(trouble.time) + " s",
                    step = format_quantity(trouble.step, Quantity::time, "us", 2);
  const std::string name = "\"" + network_.name_of_state(static_cast<int>(trouble.worst)) + "\"";
  if (!trouble.finite) {
    const std::optional<std::string> link =
        network_.link_without_number(state, signals(trouble.time), signal_rates(trouble.time));
    return {
        place,
        link ? "the flow of \"" + *link + "\" or its slope is not a number" : name + " changes by what is not a number",
        "look at the sizes there and at the volumes that it joins"};
  }
  if (trouble.tries > 0)
    return {place, name + " asks for steps of " + step + ": " + std::to_string(trouble.tries) + " steps so far",
            "look at the volumes and sizes there"};
  return {place, name + " needs steps below " + step, "look at the volumes and sizes there"};
}

}  // namespace railseep
