#include "procedure/integration.hpp"

#include <cmath>

namespace railseep {

namespace {

/// [s]; the error of a step falls with its fourth power or so.
double first_step(double tolerance) { return 1e-4 * std::sqrt(std::sqrt(tolerance / 2e-7)); }

constexpr double coarse =
    5e-5;  // from this tolerance on RODAS3 takes less time, as measured in the cranks of a match (sim/solve/README.md)

}  // namespace

Integration::Integration(OilSide& side, const State& start, double tolerance)
    : side_(side), first_step_(first_step(tolerance)), stepper_(stepper_for(tolerance)) {
  std::visit(
      [this](auto& stepper) {
        stepper.describe_trouble([this](const StepTrouble& trouble) {
          const std::optional<Error> impossible = side_.network().impossible(state(), trouble.time);
          return impossible ? *impossible : side_.describe(trouble, state());
        });
        stepper.set_budget(circuit_budget);
      },
      stepper_);
  go_on_from(start, 0);
}

Integration::Stepper Integration::stepper_for(double tolerance) {
  const Weights weights = [this, tolerance](const auto& before, const auto& after, auto& scale) {
    side_.network().tolerances(before, after, tolerance, scale);
  };
  if (tolerance < coarse) return DenseRosenbrock<Rodas>(weights);
  return DenseRosenbrock<Rodas3>(weights);
}

void Integration::go_on_from(const State& state, double t) {
  std::visit([&](auto& stepper) { stepper.initialize(state, t, first_step_); }, stepper_);
}

void Integration::advance(double t_end, double due, const Take& take) {
  const auto system = std::pair([this](const State& x, State& dxdt, double t) { side_.rates(x, dxdt, t); },
                                [this](const State& x, Eigen::SparseMatrix<double>& jacobian, double t, State& by_time,
                                       State& dxdt) { side_.jacobian(x, jacobian, t, by_time, dxdt); });
  std::visit(
      [&](auto& stepper) {
        stepper.set_limit(t_end);
        stepper.restart();
        while (stepper.current_time() < t_end) {
          stepper.do_step(std::ref(system));
          while (due <= stepper.current_time()) {
            stepper.calc_state(due, between_);
            due = take(due, between_);
          }
        }
      },
      stepper_);
  if (const std::optional<Error> impossible = side_.network().impossible(state(), time())) throw *impossible;
}

}  // namespace railseep
