#include "procedure/integration.hpp"

namespace railseep {

Integration::Integration(const OilSide& side, const State& start, double tolerance)
    : side_(side),
      stepper_([this, tolerance](const auto& before, const auto& after, auto& scale) { side_.network().tolerances(before, after, tolerance, scale); }) {
  stepper_.describe_trouble([this](const StepTrouble& trouble) {
    return side_.network().impossible(state(), trouble.time).value_or(side_.describe(trouble));
  });
  go_on_from(start, 0);
}

void Integration::advance(double t_end, double due, const Take& take) {
  const auto system = std::pair([this](const State& x, State& dxdt, double t) { side_.rates(x, dxdt, t); },
                                [this](const State& x, Eigen::MatrixXd& jacobian, double t, State& by_time, State& dxdt) {
                                  side_.jacobian(x, jacobian, t, by_time, dxdt);
                                });
  stepper_.set_limit(t_end);
  stepper_.restart();
  while (time() < t_end) {
    stepper_.do_step(std::ref(system));
    while (due <= time()) {
      stepper_.calc_state(due, between_);
      due = take(due, between_);
    }
  }
}

}  // namespace railseep
