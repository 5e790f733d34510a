#pragma once

#include <functional>
#include <variant>

#include "procedure/oil_side.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {

/// What a circuit may ask for: over a hundred times what the shipped ones take, piston by piston too
/// (sim/solve/README.md). Above it the volumes or sizes make no sense.
inline constexpr StepBudget circuit_budget{1e5, 2e5};

/// Integrates an oil side from one setting to the next: by RODAS, or by RODAS3 where the tolerance is coarse.
class Integration {
 public:
  using State = OilSide::State;

  /// @param tolerance of the pressures in one step, relative
  Integration(OilSide& side, const State& start, double tolerance);
  Integration(const Integration&) = delete;
  Integration& operator=(const Integration&) = delete;

  double time() const {
    return std::visit([](const auto& stepper) { return stepper.current_time(); }, stepper_);
  }
  const State& state() const {
    return std::visit([](const auto& stepper) -> const State& { return stepper.current_state(); }, stepper_);
  }
  Counters counters() const {
    return std::visit([](const auto& stepper) { return stepper.counters(); }, stepper_);
  }

  /// Goes to t_end exactly. @throws Error also when a pressure there is one that no circuit holds. Calls take(t, state)
  /// for the time that is due and for each one that take() returns, as they are passed.
  using Take = std::function<double(double t, const State& state)>;  // @return the next time that is due
  void advance(double t_end, double due, const Take& take);

  /// Goes on from another state, perhaps later.
  void go_on_from(const State& state, double t);

 private:
  using Stepper = std::variant<DenseRosenbrock<Rodas>, DenseRosenbrock<Rodas3>>;
  Stepper stepper_for(double tolerance);

  OilSide& side_;
  double first_step_;  // [s]
  Stepper stepper_;
  State between_;
};

}  // namespace railseep
