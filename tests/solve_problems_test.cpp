// Problems with published or exact solutions: stiff test problems, and the rail that fills, leaks and drains.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <functional>
#include <map>
#include <numbers>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "cvode_reference.hpp"
#include "full_jacobian.hpp"
#include "solve/dense_rosenbrock.hpp"
#include "stiff_problems.hpp"

namespace railseep {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Rows of a table under tests/reference, without its comment lines and the line of column names.
std::vector<std::vector<std::string>> reference_rows(const std::string& file) {
  std::ifstream in(std::string(RAILSEEP_SOURCE_DIR) + "/tests/reference/" + file);
  std::vector<std::vector<std::string>> rows;
  bool names_seen = false;
  for (std::string line; std::getline(in, line);) {
    if (line.empty() || line.front() == '#') continue;
    if (!std::exchange(names_seen, true)) continue;
    std::stringstream fields(line);
    for (rows.emplace_back(); std::getline(fields, line, ',');) rows.back().push_back(line);
  }
  return rows;
}

struct Value {
  int state;  // from 0
  double value;
  int digits;
};
using Table = std::map<double, std::vector<Value>>;  // by time

Table stiff_table(const std::string& problem) {
  Table table;
  for (const auto& row : reference_rows("ode_stiff.csv"))
    if (row[0] == problem)
      table[std::stod(row[1])].push_back({std::stoi(row[2]) - 1, std::stod(row[3]), std::stoi(row[4])});
  return table;
}

/// Half a unit of the last digit that the table vouches for.
double rounding(const Value& v) { return 0.5 * std::pow(10, std::floor(std::log10(std::abs(v.value))) + 1 - v.digits); }

/// Runs a problem through the times of its table; `look` sees state and values at each.
template <class Look>
void run_through_table(const stiff::Problem& problem, Weights weights, Look look) {
  const Table table = stiff_table(problem.name);
  ASSERT_FALSE(table.empty());
  DenseRosenbrock<> stepper(std::move(weights));
  const auto system = with_full_jacobian(problem.system.first, problem.system.second);
  stepper.initialize(problem.y0, 0, 1e-6);
  for (const auto& [t, values] : table) {
    stepper.set_limit(t);
    while (stepper.current_time() < t) stepper.do_step(std::cref(system));
    look(t, stepper.current_state(), values);
  }
}

class StiffProblem : public testing::TestWithParam<stiff::Problem> {};

// Tolerance of the run: 1e-12 relative in every state, so that 1e4 to 1e5 steps of rounding and truncation stay below
// the digits.
TEST_P(StiffProblem, EndsOnThePublishedDigits) {
  run_through_table(GetParam(), tolerances(1e-20, 1e-12), [](double t, const VectorXd& y, const auto& values) {
    for (const Value& v : values)
      EXPECT_NEAR(y[v.state], v.value, rounding(v)) << "state " << v.state << " at t = " << t;
  });
}

// An error tolerance holds per step; ten times as much at the end is common practice, no source.
// runs, no source).
TEST_P(StiffProblem, KeepsAnEverydayTolerance) {
  run_through_table(GetParam(), tolerances(1e-14, 1e-6), [](double t, const VectorXd& y, const auto& values) {
    for (const Value& v : values) EXPECT_NEAR(y[v.state] / v.value, 1, 1e-5) << "state " << v.state << " at t = " << t;
  });
}

INSTANTIATE_TEST_SUITE_P(TestSet, StiffProblem,
                         testing::Values(stiff::robertson(), stiff::van_der_pol_1000(), stiff::van_der_pol_1e_6(),
                                         stiff::hires(), stiff::oregonator()),
                         [](const auto& problem) {
                           std::string name = problem.param.name;
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

// y1 + y2 + y3 = 1: a linear invariant, which every Rosenbrock method keeps but for rounding.
TEST(StiffProblem, RobertsonKeepsItsMass) {
  for (double tolerance : {1e-4, 1e-8}) {
    run_through_table(stiff::robertson(), tolerances(1e-8 * tolerance, tolerance),
                      [](double, const VectorXd& y, const auto&) { EXPECT_NEAR(y.sum(), 1, 1e-12); });
  }
}

/// dp/dt = rate(p) [Pa/s] from p0 [Pa]; slope is d(rate)/dp [1/s].
struct RailCase {
  double p0;
  std::function<double(double)> rate, slope;
};

constexpr double K = 1.5e9, V = 1e-3, Q = 1.75e-5;  // [Pa], [m3], [m3/s]
constexpr double patm = 101325;                     // [Pa]

/// Entrained air, constant mass: dt/dp = V/Q*{(1-a0)/K*exp(-(p-patm)/K) + a0/(n*patm)*(patm/p)^(1/n+1)}; p absolute
RailCase rail_with_air(double a0) {
  constexpr double n = 1.4;
  const auto compliance = [=](double p) {
    return (1 - a0) / K * std::exp(-(p - patm) / K) + a0 / (n * patm) * std::pow(patm / p, 1 / n + 1);
  };
  const auto compliance_slope = [=](double p) {
    return -(1 - a0) / (K * K) * std::exp(-(p - patm) / K) -
           a0 * (1 / n + 1) / (n * patm * patm) * std::pow(patm / p, 1 / n + 2);
  };
  return {patm, [=](double p) { return Q / V / compliance(p); },
          [=](double p) { return -Q / V * compliance_slope(p) / std::pow(compliance(p), 2); }};
}

std::map<std::string, RailCase> rail_cases() {
  const double k = 0.611 * std::numbers::pi * std::pow(0.25e-3, 2) * std::sqrt(2 / 850.0);  // Cd*A*sqrt(2/rho)
  // sqrt(|p|) with a floor under the slope at p = 0, where case C starts and df/dp has no bound.
  const auto orifice_slope = [=](double p) { return -K / V * k / (2 * std::sqrt(std::max(std::abs(p), 1e-6))); };
  const double G = 1e-12, K0 = 1.3e9, m = 10;
  return {
      {"A", {20e6, [=](double p) { return -K / V * k * std::sqrt(std::max(p, 0.0)); }, orifice_slope}},
      {"B", {0, [=](double p) { return K / V * (Q - G * p); }, [=](double) { return -K / V * G; }}},
      {"C", {0, [=](double p) { return K / V * (Q - k * std::sqrt(std::max(p, 0.0))); }, orifice_slope}},
      {"D", {0, [=](double p) { return (K0 + m * p) / V * Q; }, [=](double) { return m / V * Q; }}},
      {"E", {0, [=](double) { return K / V * Q; }, [](double) { return 0; }}},
      {"E0", rail_with_air(0)},
      {"E1", rail_with_air(0.005)},
      {"E2", rail_with_air(0.01)},
      {"E3", rail_with_air(0.02)},
  };
}

/// p [Pa] at t, with stops nowhere else.
double pressure_at(const RailCase& rail, double t) {
  auto system = with_full_jacobian([&](const VectorXd& p, VectorXd& f, double) { f[0] = rail.rate(p[0]); },
                                   [&](const VectorXd& p, MatrixXd& J, double, VectorXd& dfdt) {
                                     J(0, 0) = rail.slope(p[0]);
                                     dfdt[0] = 0;
                                   });
  DenseRosenbrock<> stepper(tolerances(1e-3, 1e-10));
  stepper.initialize(VectorXd::Constant(1, rail.p0), 0, 1e-6);
  stepper.set_limit(t);
  while (stepper.current_time() < t) stepper.do_step(std::ref(system));
  return stepper.current_state()[0];
}

TEST(Rail, FillsLeaksAndDrainsLikeTheClosedForms) {
  const auto cases = rail_cases();
  int checked = 0;
  for (const auto& row : reference_rows("rail_filling.csv")) {
    const auto found = cases.find(row[0]);
    if (found == cases.end()) continue;
    const double expected = std::stod(row[2]) * 1e6, rounding = std::stod(row[3]);
    EXPECT_NEAR(pressure_at(found->second, std::stod(row[1])), expected, rounding * expected)
        << row[0] << " at " << row[1];
    ++checked;
  }
  EXPECT_EQ(checked, 20);
}

// Case F, and what went out of one volume is in the other: V1*p1 + V2*p2 stays.
TEST(Rail, TwoVolumesLevelOutWithTheClosedFormsTimeConstant) {
  constexpr double V1 = 1e-3, V2 = 0.3e-3, G = 2e-12;
  auto system = with_full_jacobian(
      [&](const VectorXd& p, VectorXd& f, double) {
        const double q = G * (p[0] - p[1]);
        f << -K / V1 * q, K / V2 * q;
      },
      [&](const VectorXd&, MatrixXd& J, double, VectorXd& dfdt) {
        J << -K / V1 * G, K / V1 * G, K / V2 * G, -K / V2 * G;
        dfdt.setZero();
      });
  const auto rows = reference_rows("rail_filling.csv");
  const auto row = std::find_if(rows.begin(), rows.end(), [](const auto& r) { return r[0] == "F"; });
  ASSERT_NE(row, rows.end());
  const double t = std::stod((*row)[1]), dp = std::stod((*row)[2]) * 1e6;

  DenseRosenbrock<> stepper(tolerances(1, 1e-9));
  stepper.initialize(Eigen::Vector2d(20e6, 2e6), 0, 1e-6);
  stepper.set_limit(t);
  while (stepper.current_time() < t) stepper.do_step(std::ref(system));
  const VectorXd& p = stepper.current_state();
  EXPECT_NEAR(p[0] - p[1], dp, std::stod((*row)[3]) * dp);
  EXPECT_NEAR((V1 * p[0] + V2 * p[1]) / (V1 + V2), 15.846154e6, 0.5);  // final pressure, same source
}

// The outside reference must itself meet the published values before anything is compared with it. Its tolerance holds
// per step; 1e-9 leaves two digits for what accumulates over the decades: common practice, no source.
class CvodeOnRobertson : public testing::TestWithParam<bool> {};

TEST_P(CvodeOnRobertson, MeetsThePublishedValues) {
  const bool with_restarts = GetParam();
  const auto problem = stiff::robertson();
  CvodeReference cvode(problem.system.first, problem.system.second, tolerances(1e-20, 1e-11));
  cvode.initialize(problem.y0, 0);
  for (const auto& [t, values] : stiff_table("ROBER")) {
    const VectorXd& y = cvode.advance(t);
    EXPECT_EQ(cvode.current_time(), t);
    for (const Value& v : values) EXPECT_NEAR(y[v.state] / v.value, 1, 1e-9) << "state " << v.state << " at t = " << t;
    if (with_restarts) cvode.restart();
  }
}

INSTANTIATE_TEST_SUITE_P(Restarts, CvodeOnRobertson, testing::Bool());

TEST(CvodeReference, GivesStatesAtListedTimesAndCountsOnAcrossRestarts) {
  const auto problem = stiff::robertson();
  CvodeReference cvode(problem.system.first, problem.system.second, tolerances(1e-14, 1e-6));
  cvode.initialize(problem.y0, 0);
  const auto states = cvode.states_at({0.4, 4});
  ASSERT_EQ(states.size(), 2u);
  EXPECT_NEAR(states[0][0], 9.8517211386e-1, 1e-5);  // ode_stiff.csv
  EXPECT_NEAR(states[1][0], 9.0551867858e-1, 1e-5);
  const Counters before = cvode.counters();
  EXPECT_GT(before.steps, 0);
  cvode.restart(cvode.last_step());
  EXPECT_EQ(cvode.counters(), before);
  cvode.advance(40);
  EXPECT_GT(cvode.counters().steps, before.steps);
  EXPECT_GT(cvode.counters().rates, before.rates);
}

}  // namespace
}  // namespace railseep
