#pragma once

#include <optional>
#include <vector>

#include "circuit/network.hpp"
#include "drive/control_module.hpp"
#include "procedure/crank.hpp"
#include "solve/step_control.hpp"

namespace railseep {

/// A circuit while the starter turns it: its network, what reaches it from outside at any time, and its control module,
/// which acts at its sample times only. Any solver can integrate it:
///
///     x = cranking.start(), t = 0
///     until the duration is over:  stop = cranking.next_stop(t),  cranking.sample(t, x),  x = solution of rates() at
///     stop,  t = stop
class Cranking {
 public:
  using State = Network::State;

  Cranking(const Circuit& circuit, const Condition& condition, const CrankOptions& options);

  const Network& network() const { return network_; }
  State start() const;

  /// Where the solver has to stop next: a sample of the control module, a bend of a signal, or the end. @param t the
  /// last stop [s]
  double next_stop(double t) const;

  /// To be called at every stop: the module reads the sensor and sends a new duty, when it is time.
  void sample(double t, const State& state);

  void rates(const State& state, State& rates, double t) const { network_.rates(state, signals(t), rates); }
  void jacobian(const State& state, Eigen::MatrixXd& jacobian, double t, State& by_time, State& dxdt) const {
    network_.jacobian(state, signals(t), signal_rates(t), jacobian, by_time, dxdt);
  }

  Signals<double> signals(double t) const;
  double shown(const State& state) const;    // by the sensor, gauge [Pa]
  double actual(const State& state) const;   // at the sensor's node, gauge [Pa]
  double current(const State& state) const;  // in the regulator's coil [A]
  double duty_at(double t) const { return measured_duty_ ? measured_duty_->at(t) : duty_; }
  double wanted() const { return module_.wanted(); }  // gauge [Pa]

  Error describe(const StepTrouble& trouble) const;

 private:
  Signals<double> signal_rates(double t) const;
  double next_sample(double t) const;

  Network network_;
  Condition condition_;
  std::optional<Profile> measured_duty_;
  ControlModule module_;
  double sample_time_;         // [s]
  std::vector<double> bends_;  // [s], the duration among them
  int sensor_, regulator_;
  double sampled_ = 0;  // the next sample is due [s]
  double duty_ = 0, held_voltage_ = 0;
};

}  // namespace railseep
