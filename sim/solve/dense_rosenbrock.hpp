#pragma once

#include <algorithm>
#include <limits>
#include <string>
#include <utility>

#include "solve/rosenbrock.hpp"
#include "solve/step_control.hpp"

namespace railseep {

/// A Rosenbrock method with error control and a state at any time: a dense-output stepper of Boost.Odeint, forward in
/// time.
///
///     DenseRosenbrock<> stepper(tolerances(1e-9, 1e-6));
///     stepper.initialize(x, 0, 1e-4);
///     for (double stop : stops) {
///       stepper.set_limit(stop);
///       while (stepper.current_time() < stop) stepper.do_step(system);   // ends on `stop` exactly
///       ...change an input of the system...
///       stepper.restart();                                               // keeps the step size
///     }
template <class Method = Rodas>
class DenseRosenbrock {
 public:
  using State = Eigen::VectorXd;
  using state_type = State;
  using deriv_type = State;
  using value_type = double;
  using time_type = double;
  using stepper_category = boost::numeric::odeint::dense_output_stepper_tag;

  explicit DenseRosenbrock(Weights weights) : control_(std::move(weights), Method::order) {}

  /// Starts afresh. @param dt first step to try [s], above 0
  void initialize(const State& x, double t, double dt) {
    current_ = x;
    previous_ = x;
    current_time_ = previous_time_ = t;
    dt_ = dt;
    dt_after_restart_ = std::numeric_limits<double>::infinity();
    fresh_ = false;
    control_.forget();
  }

  /// The right-hand side is another one from here on. What the last step told about the error is forgotten; the step
  /// size is kept, but not above what the last restart bore well: inputs that jump again and again mostly jump alike.
  void restart() {
    control_.forget();
    dt_ = std::min(dt_, dt_after_restart_);
    fresh_ = true;
  }

  /// No step goes beyond t_end; the last one ends on it exactly, and is no sliver.
  void set_limit(double t_end) { limit_ = t_end; }

  /// One accepted step. @return the times it began and ended
  /// @throws Error when no step is short enough, the budget of steps is used up, or no time is left before the limit
  template <class System>
  std::pair<double, double> do_step(System system) {
    if (current_time_ >= limit_)
      throw Error("t = " + std::to_string(current_time_) + " s", "no time is left before the limit",
                  "set a later limit");
    stepper_.linearise(system, current_, current_time_);
    control_.require_progress(current_time_, dt_, steps_ + rejected_, stepper_.rates());
    for (;;) {
      control_.require_useful(current_time_, dt_, stepper_.rates());
      const double dt = towards_limit();
      stepper_.advance(system, current_, current_time_, previous_, dt, error_);
      const auto [accepted, next_step] = control_.judge(current_, previous_, error_, dt);
      if (accepted) return finish(dt, next_step);
      dt_ = next_step;
      ++rejected_;
    }
  }

  /// State at t within the last step.
  void calc_state(double t, State& x) const {
    if (current_time_ == previous_time_)
      x = current_;
    else
      stepper_.interpolate((t - previous_time_) / (current_time_ - previous_time_), previous_, current_, x);
  }

  const State& current_state() const { return current_; }
  double current_time() const { return current_time_; }
  const State& previous_state() const { return previous_; }
  double previous_time() const { return previous_time_; }
  double current_time_step() const { return dt_; }  // the next one to try, were there no limit

  Counters counters() const {
    Counters counters = stepper_.counters();
    counters.steps = steps_;
    counters.rejected = rejected_;
    return counters;
  }

  /// @param text says what trouble means, naming the node
  void describe_trouble(TroubleText text) { control_.describe_trouble(std::move(text)); }
  /// @param step shortest step worth trying [s]
  void set_shortest_step(double step) { control_.set_shortest_step(step); }
  void set_budget(StepBudget budget) { control_.set_budget(budget); }

 private:
  double towards_limit() const {
    const double left = limit_ - current_time_;
    if (left <= 1.05 * dt_) return left;
    return left < 2 * dt_ ? left / 2 : dt_;
  }

  std::pair<double, double> finish(double dt, double next_step) {
    current_.swap(previous_);
    previous_time_ = current_time_;
    const bool at_limit = dt == limit_ - current_time_;
    current_time_ = at_limit ? limit_ : current_time_ + dt;
    // A step cut short by the limit is no reason to go on with short ones.
    const bool cut = dt < dt_;
    dt_ = cut ? std::max(dt_, next_step) : next_step;
    if (std::exchange(fresh_, false)) dt_after_restart_ = cut ? std::max(dt_after_restart_, next_step) : next_step;
    ++steps_;
    return {previous_time_, current_time_};
  }

  Rosenbrock<Method> stepper_;
  StepControl control_;
  State current_, previous_, error_;
  double current_time_ = 0, previous_time_ = 0;
  double limit_ = std::numeric_limits<double>::infinity();
  double dt_ = 0;                // to try next, were there no limit
  double dt_after_restart_ = 0;  // as judged from the first step after the last restart
  bool fresh_ = false;           // no step since the last restart
  long steps_ = 0, rejected_ = 0;
};

}  // namespace railseep
