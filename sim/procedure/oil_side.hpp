#pragma once

#include <functional>

#include "circuit/network.hpp"
#include "procedure/condition.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {

/// A signal that is straight from t0 on.
struct Ramp {
  double t0 = 0, value = 0, slope = 0;
  double at(double t) const { return value + slope * (t - t0); }
};

/// The oil side of an engine at work: its network, its state, and what drives it until that is set again. Every procedure runs one.
class OilSide {
 public:
  OilSide(const Circuit& circuit, const Condition& condition, double tolerance, bool ripple = false);
  OilSide(const OilSide&) = delete;
  OilSide& operator=(const OilSide&) = delete;

  double time() const { return stepper_.current_time(); }
  const Network::State& state() const { return stepper_.current_state(); }
  const Network& network() const { return network_; }
  const Circuit& circuit() const { return network_.circuit(); }

  // What drives it from now on.
  void set_speed(double value, double slope);
  void set_battery(double value, double slope) { battery_ = {time(), value, slope}; }
  void set_duty(double value, double slope = 0) { duty_ = {time(), value, slope}; }
  void set_pulse(double pulse) { pulse_ = pulse; }
  void set_coil_warming(double warming) { coil_warming_ = warming; }

  /// Other oil, warmer or colder: pressures and air stay as they are.
  void set_oil(const Oil& oil);

  /// Time goes by unwatched; then everything stands still again, with so much air in each node (condition.hpp).
  void stand(double duration, const std::vector<double>& air);

  /// Integrates to t_end exactly. For each time of `due` on the way, rising, calls take(t, state) and goes on to the next.
  using Take = std::function<double(double t, const Network::State& state)>;  // @return the next time that is due
  void advance(double t_end, double due, const Take& take);

  Signals<double> signals(double t) const;

  // What the gauges say of a state, gauge [Pa].
  double shown(const Network::State& state) const;
  double volts(const Network::State& state) const;  // [V]
  double actual(const Network::State& state) const;
  double current(const Network::State& state) const;  // of the coil [A]
  double coil_power(const Network::State& state) const;  // [W]

  double speed(double t) const { return speed_.at(t); }
  double duty(double t) const { return duty_.at(t); }
  double battery(double t) const { return battery_.at(t); }
  double pulse() const { return pulse_; }

  Counters counters() const { return stepper_.counters(); }

 private:
  Signals<double> signal_rates(double t) const;
  Error trouble(const StepTrouble& trouble) const;

  Network network_;
  double tolerance_;
  bool ripple_;
  int sensor_, regulator_;
  DenseRosenbrock<> stepper_;
  Ramp speed_, duty_, battery_;
  double angle_ = 0;  // of the crankshaft at speed_.t0 [rad]
  double pulse_ = 0, coil_warming_ = 0;
  Network::State between_;
};

}  // namespace railseep
