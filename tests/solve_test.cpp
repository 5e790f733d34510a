// The stepper itself: order, stability, error control, stops, and its place among Boost.Odeint's integrate functions.

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <boost/numeric/odeint/external/eigen/eigen_resize.hpp>
#include <boost/numeric/odeint/integrate/integrate_adaptive.hpp>
#include <boost/numeric/odeint/integrate/integrate_const.hpp>
#include <boost/numeric/odeint/integrate/integrate_times.hpp>
#include <cmath>
#include <functional>
#include <vector>

#include "full_jacobian.hpp"
#include "solve/dense_rosenbrock.hpp"
#include "stiff_problems.hpp"

namespace railseep {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;
using SparseMatrix = Eigen::SparseMatrix<double>;

VectorXd vector(std::initializer_list<double> values) {
  VectorXd v(values.size());
  std::copy(values.begin(), values.end(), v.data());
  return v;
}

/// Nonlinear, coupled and dependent on time, with a known solution y = (2 + sin t, exp(cos t)) and J and df/dt that do
/// not vanish: y1' = cos t - (y1*y2 - (2 + sin t)*exp(cos t)),  y2' = -sin t*y2 + (y1 - 2 - sin t)^2 + y1 - 2 - sin t
auto forced_pair() {
  return with_full_jacobian(
      [](const VectorXd& y, VectorXd& f, double t) {
        const double s = 2 + std::sin(t), e = std::exp(std::cos(t)), r = y[0] - s;
        f << std::cos(t) - (y[0] * y[1] - s * e), -std::sin(t) * y[1] + r * r + r;
      },
      [](const VectorXd& y, MatrixXd& J, double t, VectorXd& dfdt) {
        const double s = 2 + std::sin(t), e = std::exp(std::cos(t)), r = y[0] - s, ds = std::cos(t);
        J << -y[1], -y[0], 2 * r + 1, -std::sin(t);
        dfdt << -std::sin(t) + ds * e - s * std::sin(t) * e, -std::cos(t) * y[1] - 2 * r * ds - ds;
      });
}
VectorXd forced_solution(double t) { return vector({2 + std::sin(t), std::exp(std::cos(t))}); }

/// y' = rate*y, for one state
auto decay(double rate) {
  return with_full_jacobian([=](const VectorXd& y, VectorXd& f, double) { f = rate * y; },
                            [=](const VectorXd&, MatrixXd& J, double, VectorXd& dfdt) {
                              J(0, 0) = rate;
                              dfdt[0] = 0;
                            });
}

/// Largest error over 0..2 with n equal steps, at the steps' ends and at points inside.
struct Errors {
  double at_end, inside;
};
template <class Method = Rodas>
Errors errors_with_fixed_steps(int n) {
  auto system = forced_pair();
  Rosenbrock<Method> stepper;
  VectorXd x = forced_solution(0), x_new(2), error(2), between(2);
  const double dt = 2.0 / n;
  Errors largest{0, 0};
  for (int i = 0; i < n; ++i) {
    stepper.do_step(std::ref(system), x, i * dt, x_new, dt, error);
    for (double s : {0.2, 0.5, 0.7}) {
      stepper.interpolate(s, x, x_new, between);
      largest.inside = std::max(largest.inside, (between - forced_solution((i + s) * dt)).norm());
    }
    x = x_new;
  }
  largest.at_end = (x - forced_solution(2)).norm();
  return largest;
}

/// A method's b, alpha_ij and beta_ij from its transformed coefficients: Hairer & Wanner, Solving ODEs II, 2nd ed.
/// (1996), eq. (7.25).
struct Untransformed {
  VectorXd b, alpha, beta;
  MatrixXd Alpha, Beta, Gamma;
};
template <class Method>
Untransformed untransformed() {
  constexpr int s = Method::stages;
  MatrixXd A = MatrixXd::Zero(s, s), C = MatrixXd::Zero(s, s);
  for (int i = 0; i < s; ++i)
    for (int j = 0; j < i; ++j) A(i, j) = Method::a[i][j], C(i, j) = Method::c[i][j];
  Untransformed m;
  m.Gamma = (MatrixXd::Identity(s, s) / Method::gamma - C).inverse();
  m.Alpha = A * m.Gamma, m.Beta = m.Alpha + m.Gamma;
  VectorXd last = A.row(s - 1).transpose();
  last[s - 1] = 1;
  m.b = m.Gamma.transpose() * last, m.alpha = m.Alpha.rowwise().sum(), m.beta = m.Beta.rowwise().sum();
  return m;
}

constexpr double table_rounding = 1e-12;  // 16 printed digits, coefficients up to 40

// Conditions: Hairer & Wanner, Solving ODEs II, 2nd ed. (1996), sec. IV.7, table 7.1 (order 1 to 4) and eq. (7.2').
template <class Method>
void expect_order_three_and_sums() {
  const Untransformed m = untransformed<Method>();
  for (int i = 0; i < Method::stages; ++i) {
    EXPECT_NEAR(m.alpha[i], Method::alpha[i], table_rounding) << i;
    EXPECT_NEAR(m.Gamma.row(i).sum(), Method::gamma_sum[i], table_rounding) << i;
  }
  EXPECT_NEAR(m.b.sum(), 1, table_rounding);
  EXPECT_NEAR(m.b.dot(m.beta), 1. / 2, table_rounding);
  EXPECT_NEAR(m.b.dot(m.alpha.cwiseAbs2()), 1. / 3, table_rounding);
  EXPECT_NEAR(m.b.dot(m.Beta * m.beta), 1. / 6, table_rounding);
  EXPECT_LT((m.b.transpose() - m.Beta.row(Method::stages - 1)).norm(), table_rounding) << "stiffly accurate";
}

// They fix the sign of gamma_4.
TEST(Rodas, CoefficientsMeetTheConditionsOfOrderFour) {
  expect_order_three_and_sums<Rodas>();
  const Untransformed m = untransformed<Rodas>();
  const VectorXd alpha2 = m.alpha.cwiseAbs2();
  EXPECT_NEAR(m.b.dot(m.alpha.cwiseProduct(alpha2)), 1. / 4, table_rounding);
  EXPECT_NEAR(m.b.dot(m.alpha.cwiseProduct(m.Alpha * m.beta)), 1. / 8, table_rounding);
  EXPECT_NEAR(m.b.dot(m.Beta * alpha2), 1. / 12, table_rounding);
  EXPECT_NEAR(m.b.dot(m.Beta * (m.Beta * m.beta)), 1. / 24, table_rounding);
}

// The embedded result leaves out the last stage's correction: sec. IV.10. Its order is 2 and no more, or it would say
// nothing of the error.
TEST(Rodas3, CoefficientsMeetTheConditionsOfOrderThreeAndTheEmbeddedOnesOfTwo) {
  expect_order_three_and_sums<Rodas3>();
  const Untransformed m = untransformed<Rodas3>();
  const VectorXd embedded = m.b - m.Gamma.row(Rodas3::stages - 1).transpose();
  EXPECT_NEAR(embedded.sum(), 1, table_rounding);
  EXPECT_NEAR(embedded.dot(m.beta), 1. / 2, table_rounding);
  EXPECT_GT(std::abs(embedded.dot(m.alpha.cwiseAbs2()) - 1. / 3) + std::abs(embedded.dot(m.Beta * m.beta) - 1. / 6),
            0.01);
}

// Law: halving the step divides the error of a method of order 4 by 16. A wrong gamma_4 gives 8 or less here, since f
// depends on t.
TEST(Rosenbrock, HasOrderFourOnNonlinearNonAutonomousProblem) {
  const double order = std::log2(errors_with_fixed_steps(40).at_end / errors_with_fixed_steps(80).at_end);
  EXPECT_NEAR(order, 4, 0.15);
}

TEST(Rosenbrock, OfOrderThreeHasOrderThreeAndInterpolatesWithOrderTwo) {
  const auto coarse = errors_with_fixed_steps<Rodas3>(80), fine = errors_with_fixed_steps<Rodas3>(160);
  EXPECT_NEAR(std::log2(coarse.at_end / fine.at_end), 3, 0.15);
  EXPECT_NEAR(std::log2(coarse.inside / fine.inside), 3, 0.3);  // of one step's interpolant
}

TEST(Rosenbrock, InterpolatesWithOrderThree) {
  // Error of one step's interpolant falls with h^4.
  const double order = std::log2(errors_with_fixed_steps(80).inside / errors_with_fixed_steps(160).inside);
  EXPECT_GT(order, 3.5);
  EXPECT_LT(errors_with_fixed_steps(160).inside, 1e-7);
}

// L-stable: R(infinity) = 0. Hairer & Wanner, sec. IV.4 and IV.10.
template <class Method>
double after_one_step_of_stiff_decay() {
  auto system = decay(-1e8);
  Rosenbrock<Method> stepper;
  VectorXd x = vector({1});
  stepper.do_step(std::ref(system), x, 0, 1);
  return x[0];
}
TEST(Rosenbrock, DampsStiffDecayInOneStep) {
  EXPECT_LT(std::abs(after_one_step_of_stiff_decay<Rodas>()), 1e-6);
  EXPECT_LT(std::abs(after_one_step_of_stiff_decay<Rodas3>()), 1e-6);
}

TEST(Rosenbrock, TakesRatesFromTheJacobianAndSavesACall) {
  const auto short_form = forced_pair();
  int calls = 0;
  std::pair long_form{[&](const VectorXd& y, VectorXd& f, double t) { ++calls, short_form.first(y, f, t); },
                      [&](const VectorXd& y, SparseMatrix& J, double t, VectorXd& dfdt, VectorXd& dxdt) {
                        short_form.second(y, J, t, dfdt);
                        short_form.first(y, dxdt, t);
                      }};
  Rosenbrock<> one, other;
  VectorXd x = forced_solution(0), y = x;
  one.do_step(short_form, x, 0, 0.1);
  other.do_step(std::ref(long_form), y, 0, 0.1);
  EXPECT_EQ(x, y);
  EXPECT_EQ(calls, 5);
  EXPECT_EQ(one.counters(), (Counters{0, 0, 6, 1, 1}));
  EXPECT_EQ(other.counters(), (Counters{0, 0, 5, 1, 1}));
  Rosenbrock<Rodas3> third;
  third.do_step(std::ref(long_form), y, 0, 0.1);
  EXPECT_EQ(calls, 5 + 2);
}

// A chain of n volumes joined by restrictions, the first filled at a steady rate: what went in is in them, and in the
// end each rises as the others do, its distance from the next falling in a straight line. The Jacobian is written entry
// by entry, once.
TEST(DenseRosenbrock, KeepsEntriesThatAreWrittenOnce) {
  constexpr int n = 60;
  constexpr double g = 1e3;
  const auto rates = [](const VectorXd& x, VectorXd& f, double) {
    f.setZero();
    f[0] = 1;
    for (int i = 0; i + 1 < n; ++i) {
      const double q = g * (x[i] - x[i + 1]);
      f[i] -= q;
      f[i + 1] += q;
    }
  };
  int written = 0;
  const auto jacobian = [&](const VectorXd&, SparseMatrix& J, double, VectorXd& dfdt) {
    dfdt.setZero();
    if (written++ > 0) return;
    for (int i = 0; i + 1 < n; ++i) {
      J.coeffRef(i, i) = i == 0 ? -g : -2 * g;
      J.coeffRef(i, i + 1) = J.coeffRef(i + 1, i) = g;
    }
    J.coeffRef(n - 1, n - 1) = -g;
  };
  DenseRosenbrock<> stepper(tolerances(1e-9, 1e-6));
  stepper.initialize(VectorXd::Zero(n), 0, 1e-5);
  stepper.set_limit(20);
  while (stepper.current_time() < 20) stepper.do_step(std::pair(rates, jacobian));
  const VectorXd& x = stepper.current_state();
  EXPECT_GT(written, 10);
  EXPECT_NEAR(x.sum(), 20, 1e-9);
  // Steady: a volume passes on what those behind it take, (n - 1 - i)/n.
  for (int i = 0; i + 1 < n; ++i) EXPECT_NEAR(x[i] - x[i + 1], (n - 1.0 - i) / n / g, 1e-6) << i;
}

struct Observed {
  std::vector<double> times;
  std::vector<VectorXd> states;
  void operator()(const VectorXd& x, double t) { times.push_back(t), states.push_back(x); }
};

void expect_forced_solution(const Observed& observed, double tolerance) {
  for (std::size_t i = 0; i < observed.times.size(); ++i)
    EXPECT_LT((observed.states[i] - forced_solution(observed.times[i])).norm(), tolerance) << observed.times[i];
}

TEST(DenseRosenbrock, WorksUnderOdeintsIntegrateFunctions) {
  namespace odeint = boost::numeric::odeint;
  DenseRosenbrock<> stepper(tolerances(1e-9, 1e-9));
  auto system = forced_pair();

  Observed even, free, listed;
  VectorXd x = forced_solution(0);
  odeint::integrate_const(stepper, system, x, 0.0, 3.0, 0.125, std::ref(even));
  ASSERT_EQ(even.times.size(), 25u);
  EXPECT_DOUBLE_EQ(even.times.back(), 3);

  x = forced_solution(0);
  odeint::integrate_adaptive(stepper, std::ref(system), x, 0.0, 3.0, 1e-3, std::ref(free));
  EXPECT_DOUBLE_EQ(free.times.back(), 3);
  EXPECT_LT((x - forced_solution(3)).norm(), 1e-7);

  const std::vector<double> times = {0, 0.01, 0.5, 2.25, 3};
  x = forced_solution(0);
  odeint::integrate_times(stepper, std::ref(system), x, times.begin(), times.end(), 1e-3, std::ref(listed));
  EXPECT_EQ(listed.times, times);

  for (const Observed* observed : {&even, &free, &listed}) expect_forced_solution(*observed, 1e-7);
}

TEST(DenseRosenbrock, StopsExactlyAtTheLimitAndKeepsItsStepAcrossRestarts) {
  auto system = forced_pair();
  DenseRosenbrock<> stepper(tolerances(1e-6, 1e-6));
  stepper.initialize(forced_solution(0), 0, 1e-3);
  for (int k = 1; k <= 300; ++k) {
    const double stop = k * 0.01;
    stepper.set_limit(stop);
    while (stepper.current_time() < stop) stepper.do_step(std::ref(system));
    ASSERT_EQ(stepper.current_time(), stop);
    stepper.restart();
  }
  EXPECT_LT((stepper.current_state() - forced_solution(3)).norm(), 1e-5);
  EXPECT_GT(stepper.current_time_step(), 0.01);  // far beyond the distance of the stops
  EXPECT_LE(stepper.counters().steps, 310) << "one step for each stop, after the first few";
  EXPECT_THROW(stepper.do_step(std::ref(system)), Error);  // no time is left
}

TEST(DenseRosenbrock, TakesALongStepAfterAStopThatCameSoon) {
  auto system = forced_pair();
  DenseRosenbrock<> stepper(tolerances(1e-6, 1e-6));
  stepper.initialize(forced_solution(0), 0, 1e-3);
  stepper.set_limit(1);
  while (stepper.current_time() < 1) stepper.do_step(std::ref(system));
  const double natural = stepper.current_time_step();
  stepper.set_limit(1 + 1e-6);
  stepper.do_step(std::ref(system));
  EXPECT_EQ(stepper.current_time(), 1 + 1e-6);
  stepper.restart();
  EXPECT_GE(stepper.current_time_step(), natural);
}

// A right-hand side that changes at a stop: y' = -y, then y' = +y; closed form.
TEST(DenseRosenbrock, FollowsAnInputThatJumpsAtAStop) {
  double rate = -1;
  auto system = with_full_jacobian([&](const VectorXd& y, VectorXd& f, double) { f = rate * y; },
                                   [&](const VectorXd&, MatrixXd& J, double, VectorXd& dfdt) {
                                     J(0, 0) = rate;
                                     dfdt[0] = 0;
                                   });
  DenseRosenbrock<> stepper(tolerances(1e-10, 1e-10));
  stepper.initialize(vector({1}), 0, 1e-2);
  for (double stop : {0.7, 1.4}) {
    stepper.set_limit(stop);
    while (stepper.current_time() < stop) stepper.do_step(std::ref(system));
    EXPECT_NEAR(stepper.current_state()[0], stop == 0.7 ? std::exp(-0.7) : 1, 1e-8);
    rate = 1;
    stepper.restart();
  }
}

// y' = -1e4*(y - u), u = 1 or 0 in turn for 10 ms each: a fast transient after every stop, then nothing. The size of
// the first step is learnt from the stop before, so that rejected steps stay rarer than stops.
TEST(DenseRosenbrock, LearnsTheFirstStepAfterInputsThatJumpAgainAndAgain) {
  double u = 1;
  auto system = with_full_jacobian([&](const VectorXd& y, VectorXd& f, double) { f[0] = -1e4 * (y[0] - u); },
                                   [&](const VectorXd&, MatrixXd& J, double, VectorXd& dfdt) {
                                     J(0, 0) = -1e4;
                                     dfdt[0] = 0;
                                   });
  DenseRosenbrock<> stepper(tolerances(1e-8, 0));
  stepper.initialize(vector({0}), 0, 1e-6);
  for (int k = 1; k <= 100; ++k) {
    stepper.set_limit(k * 0.01);
    while (stepper.current_time() < k * 0.01) stepper.do_step(std::ref(system));
    EXPECT_NEAR(stepper.current_state()[0], u, 1e-7) << k;
    u = 1 - u;
    stepper.restart();
  }
  EXPECT_LT(stepper.counters().rejected, 100);
}

TEST(DenseRosenbrock, GivesStatesInsideAStep) {
  auto system = forced_pair();
  DenseRosenbrock<> stepper(tolerances(1e-9, 1e-9));
  stepper.initialize(forced_solution(0), 0, 1e-3);
  VectorXd x(2);
  stepper.calc_state(0, x);
  EXPECT_EQ(x, forced_solution(0));
  while (stepper.current_time() < 2) {
    const auto [from, to] = stepper.do_step(std::ref(system));
    EXPECT_EQ(from, stepper.previous_time());
    EXPECT_EQ(to, stepper.current_time());
    stepper.calc_state(from, x);
    EXPECT_LT((x - stepper.previous_state()).norm(), 1e-15);
    stepper.calc_state(to, x);
    EXPECT_LT((x - stepper.current_state()).norm(), 1e-15);
    stepper.calc_state(0.5 * (from + to), x);
    EXPECT_LT((x - forced_solution(0.5 * (from + to))).norm(), 1e-7);
  }
}

// The same problem in other units must take the same steps when the weights are in these units too.
TEST(DenseRosenbrock, MeasuresErrorInTheGivenWeights) {
  constexpr double unit = 0x1p-20;  // a power of 2, so that scaling leaves every digit alone
  const auto plain = forced_pair();
  std::pair scaled{[&](const VectorXd& y, VectorXd& f, double t) {
                     plain.first(y / unit, f, t);
                     f *= unit;
                   },
                   [&](const VectorXd& y, SparseMatrix& J, double t, VectorXd& dfdt) {
                     plain.second(y / unit, J, t, dfdt);
                     dfdt *= unit;
                   }};
  DenseRosenbrock<> one(tolerances(vector({1e-6, 1e-8}), 0));
  DenseRosenbrock<> other([](const VectorXd&, const VectorXd&, VectorXd& scale) { scale << 1e-6 * unit, 1e-8 * unit; });
  one.initialize(forced_solution(0), 0, 1e-3);
  other.initialize(forced_solution(0) * unit, 0, 1e-3);
  while (one.current_time() < 2) {
    one.do_step(std::ref(plain));
    other.do_step(std::ref(scaled));
    ASSERT_EQ(one.current_time(), other.current_time());
  }
  EXPECT_EQ(one.current_state() * unit, other.current_state());
}

TEST(DenseRosenbrock, TighterTolerancesGiveSmallerErrors) {
  auto system = forced_pair();
  double last = 1;
  for (double tolerance : {1e-4, 1e-6, 1e-8, 1e-10}) {
    DenseRosenbrock<> stepper{tolerances(tolerance, tolerance)};
    stepper.initialize(forced_solution(0), 0, 1e-3);
    stepper.set_limit(3);
    while (stepper.current_time() < 3) stepper.do_step(std::ref(system));
    const double error = (stepper.current_state() - forced_solution(3)).norm();
    EXPECT_LT(error, 20 * tolerance);
    EXPECT_LT(error, last / 10);
    last = error;
  }
}

TEST(DenseRosenbrock, RepeatsItselfToTheLastBit) {
  const auto problem = stiff::oregonator();
  const auto system = with_full_jacobian(problem.system.first, problem.system.second);
  DenseRosenbrock<> one(tolerances(1e-6, 1e-6)), other(tolerances(1e-6, 1e-6));
  for (DenseRosenbrock<>* stepper : {&one, &other}) {
    stepper->initialize(problem.y0, 0, 1e-4);
    for (int i = 0; i < 300; ++i) stepper->do_step(system);
  }
  EXPECT_EQ(one.current_time(), other.current_time());
  EXPECT_EQ(one.current_state(), other.current_state());
  EXPECT_EQ(one.counters(), other.counters());
}

TEST(DenseRosenbrock, CountsItsWork) {
  const auto problem = stiff::van_der_pol_1000();
  const auto system = with_full_jacobian(problem.system.first, problem.system.second);
  DenseRosenbrock<> stepper(tolerances(1e-6, 1e-6));
  stepper.initialize(problem.y0, 0, 1);
  while (stepper.current_time() < 1000) stepper.do_step(system);
  const Counters c = stepper.counters();
  EXPECT_GT(c.rejected, 0);  // the jump near t = 807 comes unforeseen
  EXPECT_EQ(c.jacobians, c.steps);
  EXPECT_EQ(c.factorisations, c.steps + c.rejected);
  EXPECT_EQ(c.rates, 6 * c.steps + 5 * c.rejected);
}

// y2' = y2^2 from 1 has a pole at t = 1: no step gets past it. The state that blows up is number 1.
TEST(DenseRosenbrock, NamesTimeAndStateInTrouble) {
  auto system = with_full_jacobian([](const VectorXd& y, VectorXd& f, double) { f << -y[0], y[1] * y[1]; },
                                   [](const VectorXd& y, MatrixXd& J, double, VectorXd& dfdt) {
                                     J << -1, 0, 0, 2 * y[1];
                                     dfdt.setZero();
                                   });
  DenseRosenbrock<> stepper(tolerances(1e-9, 1e-6));
  StepTrouble seen{};
  stepper.describe_trouble([&](const StepTrouble& trouble) {
    seen = trouble;
    return Error("node \"left rail\"", "steps are too short", "give it a volume");
  });
  stepper.initialize(vector({1, 1}), 0, 1e-3);
  try {
    while (stepper.current_time() < 2) stepper.do_step(std::ref(system));
    FAIL() << "went through a pole";
  } catch (const Error& error) {
    EXPECT_EQ(error.place(), "node \"left rail\"");
  }
  EXPECT_NEAR(seen.time, 1, 1e-5);
  EXPECT_LT(seen.step, 1e-14);
  EXPECT_EQ(seen.worst, 1);
}

TEST(DenseRosenbrock, NamesTheStateWhoseRateIsNotANumber) {
  auto system = with_full_jacobian([](const VectorXd& y, VectorXd& f, double) { f << -y[0], -y[1], std::sqrt(-y[2]); },
                                   [](const VectorXd&, MatrixXd& J, double, VectorXd& dfdt) {
                                     J.setZero();
                                     dfdt.setZero();
                                   });
  DenseRosenbrock<> stepper(tolerances(1e-9, 1e-6));
  StepTrouble seen{};
  stepper.describe_trouble([&](const StepTrouble& trouble) {
    seen = trouble;
    return Error("", "", "");
  });
  stepper.initialize(vector({1, 1, 1}), 0.25, 1e-3);
  EXPECT_THROW(stepper.do_step(std::ref(system)), Error);
  EXPECT_EQ(seen.time, 0.25);
  EXPECT_EQ(seen.worst, 2);
  EXPECT_FALSE(seen.finite);
}

// An oscillation of 1e9 rad/s for 1 s takes some 1e9 steps: nobody waits for that. State 1 is the one that swings;
// state 0 rests.
TEST(DenseRosenbrock, TellsOfStateAndTriesWhenTheBudgetIsUsedUp) {
  static constexpr double w = 1e9;
  auto system = with_full_jacobian([](const VectorXd& y, VectorXd& f, double) { f << 0, w * y[2], -w * y[1]; },
                                   [](const VectorXd&, MatrixXd& J, double, VectorXd& dfdt) {
                                     J << 0, 0, 0, 0, 0, w, 0, -w, 0;
                                     dfdt.setZero();
                                   });
  DenseRosenbrock<> stepper(tolerances(1e-6, 1e-6));
  stepper.set_budget({1000, 1000});
  StepTrouble seen{};
  stepper.describe_trouble([&](const StepTrouble& trouble) {
    seen = trouble;
    return Error("", "", "");
  });
  stepper.initialize(vector({1, 1, 0}), 0, 1e-9);
  stepper.set_limit(1);
  EXPECT_THROW(while (stepper.current_time() < 1) stepper.do_step(std::ref(system)), Error);
  EXPECT_EQ(seen.tries, 1001);
  EXPECT_TRUE(seen.finite);
  EXPECT_NE(seen.worst, 0);
  EXPECT_LT(seen.step, 1e-7);
}

}  // namespace
}  // namespace railseep
