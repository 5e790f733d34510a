#pragma once

#include <functional>

#include "procedure/oil_side.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {

/// Integrates an oil side from one setting to the next.
class Integration {
 public:
  using State = OilSide::State;

  /// @param tolerance of the pressures in one step, relative
  Integration(const OilSide& side, const State& start, double tolerance);
  Integration(const Integration&) = delete;
  Integration& operator=(const Integration&) = delete;

  double time() const { return stepper_.current_time(); }
  const State& state() const { return stepper_.current_state(); }
  Counters counters() const { return stepper_.counters(); }

  /// Goes to t_end exactly. Calls take(t, state) for the time that is due and for each one that take() returns, as they are passed.
  using Take = std::function<double(double t, const State& state)>;  // @return the next time that is due
  void advance(double t_end, double due, const Take& take);

  /// Goes on from another state, perhaps later.
  void go_on_from(const State& state, double t) { stepper_.initialize(state, t, first_step); }

 private:
  static constexpr double first_step = 1e-4;  // [s]

  const OilSide& side_;
  DenseRosenbrock<> stepper_;
  State between_;
};

}  // namespace railseep
