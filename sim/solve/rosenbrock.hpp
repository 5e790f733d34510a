#pragma once

#include <Eigen/Core>
#include <boost/numeric/odeint/stepper/stepper_categories.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>
#include <utility>

#include "solve/pattern_lu.hpp"
#include "solve/rodas.hpp"
#include "solve/rodas3.hpp"

namespace railseep {

/// What the work of a solver is counted in.
struct Counters {
  long steps = 0;           // accepted
  long rejected = 0;        // tried, and too inaccurate
  long rates = 0;           // calls of the right-hand side
  long jacobians = 0;       // calls of its derivative
  long factorisations = 0;  // LU decompositions

  bool operator==(const Counters&) const = default;
};

/// One step of a Rosenbrock method for x' = f(x, t), stiff or not: RODAS, or another that is written as it is
/// (rodas.hpp). An error stepper of Boost.Odeint.
///
/// A system is a pair as for Odeint's implicit steppers, or a std::ref to one:
///
///     system.first(x, dxdt, t)             the rates f
///     system.second(x, J, t, dfdt)         J = df/dx and df/dt; may rather be
///     system.second(x, J, t, dfdt, dxdt)   which gives the rates too and saves one call
///
/// A step of RODAS costs one Jacobian, one LU and 6 calls of the rates (5 with the longer form, and when a rejected
/// step is tried again), one of RODAS3 3 calls (or 2). The last stage is evaluated before the last correction, so it
/// cannot serve as f(x_new) of the next step. J is sparse and comes as the last call left it (without entries at
/// first), so that entries that never change need not be written again. Nothing is allocated after the first step of a
/// given size. Linear invariants (mass) stay within rounding.
template <class Method = Rodas>
class Rosenbrock {
 public:
  using State = Eigen::VectorXd;
  using Matrix = PatternLu::Matrix;
  using state_type = State;
  using deriv_type = State;
  using value_type = double;
  using time_type = double;
  using order_type = unsigned short;
  using stepper_category = boost::numeric::odeint::error_stepper_tag;

  static constexpr order_type order() { return Method::order; }
  static constexpr order_type stepper_order() { return Method::order; }
  static constexpr order_type error_order() { return Method::error_order; }

  /// One step from x at t; error is x_out minus the embedded result, of the order below. x_out may be x.
  template <class System>
  void do_step(System system, const State& x, double t, State& x_out, double dt, State& error) {
    linearise(system, x, t);
    advance(system, x, t, x_out, dt, error);
  }
  template <class System>
  void do_step(System system, State& x, double t, double dt, State& error) {
    do_step(system, x, t, x, dt, error);
  }
  template <class System>
  void do_step(System system, const State& x, double t, State& x_out, double dt) {
    do_step(system, x, t, x_out, dt, error_);
  }
  template <class System>
  void do_step(System system, State& x, double t, double dt) {
    do_step(system, x, t, x, dt, error_);
  }

  /// First half of a step: rates and Jacobian at (x, t), good for any number of tries with different dt.
  template <class System>
  void linearise(System& system, const State& x, double t) {
    adjust_size(x);
    auto& rates = unwrap(system).first;
    auto& jacobian = unwrap(system).second;
    if constexpr (requires { jacobian(x, jacobian_, t, dfdt_, dxdt_); }) {
      jacobian(x, jacobian_, t, dfdt_, dxdt_);
    } else {
      rates(x, dxdt_, t);
      ++counters_.rates;
      jacobian(x, jacobian_, t, dfdt_);
    }
    jacobian_.makeCompressed();
    ++counters_.jacobians;
  }

  /// Second half: the stages. (x, t) must be those of the last linearise().
  template <class System>
  void advance(System& system, const State& x, double t, State& x_out, double dt, State& error) {
    lu_.factorise(jacobian_, 1.0 / (Method::gamma * dt));
    ++counters_.factorisations;

    f_stage_ = dxdt_ + (Method::gamma_sum[0] * dt) * dfdt_;
    lu_.solve(f_stage_, u_.col(0));
    stages(system, x, t, dt, std::make_index_sequence<Method::stages - 1>());

    error = u_.col(Method::stages - 1);
    x_out = x_stage_ + error;
  }

  /// State inside the last step, which led from x_old to x_new. @param s part of the step gone, 0..1
  void interpolate(double s, const State& x_old, const State& x_new, State& x) const {
    x = (1 - s) * x_old + s * x_new;
    for (int j = 0; j < Method::stages - 1; ++j) x += (s * (1 - s) * (Method::d2[j] + s * Method::d3[j])) * u_.col(j);
  }

  void adjust_size(const State& x) {
    if (dxdt_.size() == x.size()) return;
    for (State* vector : {&dxdt_, &dfdt_, &x_stage_, &f_stage_, &error_}) vector->setZero(x.size());
    u_.setZero(x.size(), Method::stages);
    jacobian_.resize(x.size(), x.size());
  }

  const State& rates() const { return dxdt_; }  // at the last linearise()
  const Counters& counters() const { return counters_; }

 private:
  template <class System>
  static auto& unwrap(System& system) {
    return static_cast<typename boost::numeric::odeint::unwrap_reference<System>::type&>(system);
  }

  template <class System, std::size_t... i>
  void stages(System& system, const State& x, double t, double dt, std::index_sequence<i...>) {
    (stage<i + 1>(system, x, t, dt, std::make_index_sequence<i + 1>()), ...);
  }

  template <int i, class System, std::size_t... j>
  void stage(System& system, const State& x, double t, double dt, std::index_sequence<j...>) {
    constexpr bool where_it_began = Method::alpha[i] == 0 && ((Method::a[i][j] == 0) && ...);
    if constexpr (where_it_began) {
      f_stage_ = dxdt_;
    } else {
      x_stage_ = x + (... + (Method::a[i][j] * u_.col(j)));
      unwrap(system).first(x_stage_, f_stage_, t + Method::alpha[i] * dt);
      ++counters_.rates;
    }

    const double per_dt = 1.0 / dt;
    f_stage_ += (... + ((Method::c[i][j] * per_dt) * u_.col(j)));
    if constexpr (Method::gamma_sum[i] != 0) f_stage_ += (Method::gamma_sum[i] * dt) * dfdt_;
    lu_.solve(f_stage_, u_.col(i));
  }

  PatternLu lu_;
  Matrix jacobian_;
  State dxdt_, dfdt_, x_stage_, f_stage_, error_;
  Eigen::Matrix<double, Eigen::Dynamic, Method::stages> u_;  // the stages, a column each
  Counters counters_;
};

}  // namespace railseep
