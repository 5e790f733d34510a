#pragma once

#include <Eigen/Core>
#include <functional>
#include <limits>

#include "quantity/error.hpp"

namespace railseep {

/// The error that is allowed in each state over one step: fills scale_i > 0 in the unit of state i.
using Weights = std::function<void(const Eigen::VectorXd& x_old, const Eigen::VectorXd& x_new, Eigen::VectorXd& scale)>;

/// scale_i = absolute_i + relative*max(|x_old_i|, |x_new_i|), the usual choice; one absolute tolerance for all, or one
/// for each state.
Weights tolerances(double absolute, double relative);
Weights tolerances(Eigen::VectorXd absolute, double relative);

/// A step that cannot be made small enough: where a circuit should be looked at.
struct StepTrouble {
  double time;         // t [s] at the start of the step
  double step;         // dt [s] that is too long still
  Eigen::Index worst;  // the state whose error was largest, or that is not a number
  bool finite;         // false: rates, Jacobian or weights gave something that is not a number
  long tries = 0;      // made so far, where they are more than the budget; else 0
};

/// Tries that a solution may take up to t: at_once + per_second*t. What asks for more would go on for hours.
struct StepBudget {
  double at_once = std::numeric_limits<double>::infinity();
  double per_second = 0;  // [1/s]
};

/// Puts trouble into the words of whoever knows what the states are; the result is thrown.
using TroubleText = std::function<Error(const StepTrouble&)>;

/// Judges a step and chooses the next one: predictive control of the step size.
///
///     fac = err^(1/k)/0.9,  and after an accepted step not less than  (h_old/h)*(err^2/err_old)^(1/k)/0.9,   h_next =
///     h/fac
///
/// k is the method's order, err the root mean square of error_i/scale_i: a step is good at err <= 1. fac stays within
/// 1/6 .. 5. Source: K. Gustafsson, ACM TOMS 20 (1994) 496; constants of Hairer & Wanner's code RODAS (from memory).
class StepControl {
 public:
  StepControl(Weights weights, int order);

  struct Verdict {
    bool accepted;
    double next_step;  // [s], for the next step, or for the next try of this one
  };
  Verdict judge(const Eigen::VectorXd& x_old, const Eigen::VectorXd& x_new, const Eigen::VectorXd& error, double step);

  /// Drops what was learnt from earlier steps: the right-hand side is another one now.
  void forget() {
    last_step_ = 0;
    rejected_ = false;
  }

  /// @throws Error when the step is below the shortest one worth trying, or lost in the rounding of t
  void require_useful(double time, double step, const Eigen::VectorXd& rates) const;
  /// @throws Error when so many tries are more than the budget allows
  void require_progress(double time, double step, long tries, const Eigen::VectorXd& rates) const;

  void describe_trouble(TroubleText text) { text_ = std::move(text); }
  void set_shortest_step(double step) { shortest_step_ = step; }
  void set_budget(StepBudget budget) { budget_ = budget; }

 private:
  Eigen::Index worst(const Eigen::VectorXd& rates, bool& finite) const;

  Weights weights_;
  int order_;
  TroubleText text_;
  Eigen::VectorXd scale_, scaled_error_;
  double shortest_step_ = 1e-15;  // [s]; nothing in a hydraulic circuit is faster
  StepBudget budget_;
  double last_step_ = 0;  // h_old [s], 0 when there is none
  double last_error_ = 0;
  bool rejected_ = false;
};

}  // namespace railseep
