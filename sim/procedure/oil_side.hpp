#pragma once

#include "circuit/network.hpp"
#include "procedure/condition.hpp"
#include "solve/step_control.hpp"

namespace railseep {

/// A signal that is straight from t0 on.
struct Ramp {
  double t0 = 0, value = 0, slope = 0;
  double at(double t) const { return value + slope * (t - t0); }
};

/// The oil side of an engine at work: its network, and what drives it from outside until that is set again. It holds no
/// state of the oil: any solver can integrate rates() and jacobian() between two settings. Every procedure has one.
class OilSide {
 public:
  using State = Network::State;

  OilSide(const Circuit& circuit, const Condition& condition, bool ripple = false);

  const Network& network() const { return network_; }
  Network& network() { return network_; }
  const Circuit& circuit() const { return network_.circuit(); }

  /// Everything stands still, with the air that the condition leaves in each node.
  State start(const Condition& condition) const;

  // What drives it from t on.
  void set_speed(double t, double value, double slope);
  void set_battery(double t, double value, double slope) { battery_ = {t, value, slope}; }
  void set_duty(double t, double value, double slope = 0) { duty_ = {t, value, slope}; }
  void set_tank_pressure(int node, double pressure) { network_.set_tank_pressure(node, pressure); }  // gauge [Pa]
  void set_pulse(double pulse) { pulse_ = pulse; }
  void set_coil_warming(double warming) { coil_warming_ = warming; }

  /// Other oil, warmer or colder. @return the state with the same pressures and air
  State set_oil(const Oil& oil, const State& state);

  void rates(const State& state, State& rates, double t) { network_.rates(state, signals(t), rates); }
  void jacobian(const State& state, Eigen::SparseMatrix<double>& jacobian, double t, State& by_time, State& rates) {
    network_.jacobian(state, signals(t), signal_rates(t), jacobian, by_time, rates);
  }
  Signals<double> signals(double t) const;

  // What the gauges say of a state; pressures are gauge [Pa].
  double shown(const State& state) const;       // by the sensor
  double volts(const State& state) const;       // of the sensor [V]
  bool believed(const State& state) const;      // the module takes the volts for possible
  double actual(const State& state) const;      // at the sensor's node
  double current(const State& state) const;     // of the regulator's coil [A]
  double coil_power(const State& state) const;  // [W]

  double speed(double t) const { return speed_.at(t); }
  double duty(double t) const { return duty_.at(t); }
  double battery(double t) const { return battery_.at(t); }

  /// Steps that are too short or too many, or a law that gives no number, in the circuit's words. @param state where
  /// the step began
  Error describe(const StepTrouble& trouble, const State& state) const;

 private:
  Signals<double> signal_rates(double t) const;

  Network network_;
  bool ripple_;
  int sensor_, regulator_;
  Ramp speed_, duty_, battery_;
  double angle_ = 0;  // of the crankshaft at speed_.t0 [rad]
  double pulse_ = 0, coil_warming_ = 0;
};

}  // namespace railseep
