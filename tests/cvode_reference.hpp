#pragma once

#include <cvode/cvode.h>

#include <Eigen/Core>
#include <functional>
#include <memory>
#include <sundials/sundials_context.hpp>
#include <vector>

#include "solve/rosenbrock.hpp"
#include "solve/step_control.hpp"

namespace railseep {

/// The outside reference for the stepper: SUNDIALS CVODE, BDF of order 1 to 5, dense direct solver, on the same rates
/// and Jacobian.
///
///     CvodeReference cvode(rates, jacobian, relative_weights);
///     cvode.initialize(x0, 0);
///     for (double stop : stops) {
///       cvode.advance(stop);      // no step passes `stop`
///       ...change an input...
///       cvode.restart();          // CVodeReInit at the present state
///     }
///
/// Source: A. C. Hindmarsh et al., ACM TOMS 31 (2005) 363; version 6.4.1.
class CvodeReference {
 public:
  using State = Eigen::VectorXd;
  using Rates = std::function<void(const State& x, State& dxdt, double t)>;
  using Jacobian = std::function<void(const State& x, Eigen::MatrixXd& J, double t, State& dfdt)>;

  /// @param weights as for the stepper; CVODE asks for them at one state, so x_old = x_new
  CvodeReference(Rates rates, Jacobian jacobian, Weights weights);

  void initialize(const State& x, double t);

  /// Integrates to t and stops there exactly. @throws Error when CVODE gives up
  const State& advance(double t);

  /// The right-hand side is another one from here on: begins anew at order 1, at the present state and time. CVODE
  /// looks for its own first step unless one is given [s].
  void restart(double first_step = 0);

  /// States at the given rising times, without restarts.
  std::vector<State> states_at(const std::vector<double>& times);

  const State& current_state() const { return x_; }
  double current_time() const { return t_; }
  double last_step() const;  // [s]
  Counters counters() const;

 private:
  static int call_rates(double t, N_Vector x, N_Vector dxdt, void* self);
  static int call_jacobian(double t, N_Vector x, N_Vector f, SUNMatrix J, void* self, N_Vector, N_Vector, N_Vector);
  static int call_weights(N_Vector x, N_Vector weight, void* self);
  void add_steps_since_restart(Counters& counters) const;

  Rates rates_;
  Jacobian jacobian_;
  Weights weights_;
  State x_, f_, scale_, dfdt_;
  Eigen::MatrixXd J_;
  double t_ = 0;
  Counters
      counters_;  // steps and factorisations: of the stretches before the last restart, since CVODE counts these anew

  std::unique_ptr<sundials::Context> context_;
  std::unique_ptr<_generic_N_Vector, void (*)(N_Vector)> vector_;
  std::unique_ptr<_generic_SUNMatrix, void (*)(SUNMatrix)> matrix_;
  std::unique_ptr<_generic_SUNLinearSolver, int (*)(SUNLinearSolver)> solver_;
  std::unique_ptr<void, void (*)(void*)> cvode_;
};

}  // namespace railseep
