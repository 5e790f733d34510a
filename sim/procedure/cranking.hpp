#pragma once

#include <optional>
#include <vector>

#include "drive/control_module.hpp"
#include "procedure/crank.hpp"
#include "procedure/oil_side.hpp"

namespace railseep {

/// An oil side while the starter turns it, and its control module, which acts at its sample times only. Any solver can
/// integrate it:
///
///     x = cranking.start(), t = 0
///     until the duration is over:  stop = cranking.next_stop(t),  cranking.sample(t, x),  x = solution of rates() at
///     stop,  t = stop
class Cranking {
 public:
  using State = Network::State;

  Cranking(const Circuit& circuit, const Condition& condition, const CrankOptions& options);

  const OilSide& side() const { return side_; }
  OilSide& side() { return side_; }
  const Network& network() const { return side_.network(); }
  State start() const { return side_.start(condition_); }

  /// Where the solver has to stop next: a sample of the control module, a bend of a signal, or the end. @param t the
  /// last stop [s]
  double next_stop(double t) const;

  /// To be called at every stop: speed and measured duty go on from here; the module reads the sensor and sends a new
  /// duty, when it is time.
  void sample(double t, const State& state);

  void rates(const State& state, State& rates, double t) { side_.rates(state, rates, t); }
  void jacobian(const State& state, Eigen::SparseMatrix<double>& jacobian, double t, State& by_time, State& rates) {
    side_.jacobian(state, jacobian, t, by_time, rates);
  }

  double shown(const State& state) const { return side_.shown(state); }  // gauge [Pa]
  double wanted() const { return module_.wanted(); }                     // gauge [Pa]

 private:
  double next_sample(double t) const;
  void hold_tanks(double t);

  Condition condition_;
  std::optional<Profile> measured_duty_;
  OilSide side_;
  ControlModule module_;
  double sample_time_;                          // [s]
  std::vector<std::pair<int, Profile>> tanks_;  // whose pressure the condition says
  std::vector<double> bends_;                   // [s], the duration among them
  double sampled_ = 0;                          // the next sample is due [s]
};

}  // namespace railseep
