// A rail cut into many pieces: the pressure stays what it was, and the work grows with the pieces, as counted.

#include "cut_rail.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "procedure/cranking.hpp"
#include "procedure/integration.hpp"
#include "shipped_circuits.hpp"
#include "solve/pattern_lu.hpp"

namespace railseep {
namespace {

const Passage bore{20e-3, 0.5, 0, 0.03};

/// Two seconds at a duty that holds some pressure, every 10 ms; the module's own choice would hang on each pressure it
/// sees.
Trace cranked(const Circuit& circuit, double tolerance = 1e-6) {
  Condition condition;
  condition.oil_temperature = 363.15;
  CrankOptions options;
  options.duration = 2, options.output_interval = 0.01, options.duty = Profile(0.3), options.tolerance = tolerance;
  return crank(circuit, condition, options).trace;
}

// All that the pump delivers, through the whole bore, loses no more than this: Hagen-Poiseuille and Darcy-Weisbach,
// with the viscosity of the thickest oil, at the highest pressure. The volume is the same, so the sensor at its far end
// may differ by so much and by what the solver is allowed.
TEST(CutRail, ShowsThePressureOfTheWholeOneButForTheLossInItsBore) {
  const Circuit whole = inline_six();
  const Trace one = cranked(whole);
  const std::vector<double>& p = one.find("manifold pressure").value;
  const double highest = *std::max_element(p.begin(), p.end());
  ASSERT_GT(highest, 3e6);
  Condition condition;
  condition.oil_temperature = 363.15;
  const Oil oil = oil_of(whole, condition);
  const std::vector<double>& flow = one.find("high-pressure pump flow").value;
  const double q = *std::max_element(flow.begin(), flow.end()),
               area = 0.25 * std::numbers::pi * bore.diameter * bore.diameter;
  const double loss = 128 * oil.viscosity_at(highest + atmospheric_pressure) * bore.length /
                          (std::numbers::pi * std::pow(bore.diameter, 4)) * q +
                      bore.friction_factor * bore.length / bore.diameter * oil.density / (2 * area * area) * q * q;
  ASSERT_LT(loss, 1e-3 * highest);
  for (const int pieces : {2, 10, 50}) {
    const Trace cut = cranked(with_cut_rail(whole, "manifold", pieces, bore));
    double furthest = 0, steepest = 0;
    for (std::size_t i = 0; i < p.size(); ++i) {
      furthest = std::max(
          furthest, std::abs(cut.find("manifold, piece " + std::to_string(pieces) + " pressure").value[i] - p[i]));
      if (i > 0) steepest = std::max(steepest, std::abs(p[i] - p[i - 1]));
    }
    EXPECT_LT(furthest, loss + 1e-4 * highest)
        << pieces << " pieces; the loss is " << loss << " Pa, the steepest rise " << steepest << " Pa in 10 ms";
  }
}

// The pattern is known before anything flows: whatever opens during a crank, the elimination is planned once, keeps its
// pivots at long and short steps, and takes so many products for each piece.
TEST(CutRail, IsEliminatedByOnePlanThatGrowsWithItsPieces) {
  double nonzeros = 0, entries = 0, products = 0, before = 0;
  for (const int pieces : {10, 50, 200, 1000}) {
    Condition condition;
    condition.oil_temperature = 363.15;
    CrankOptions options;
    options.duration = 0.3, options.duty = Profile(0.3);
    Cranking cranking(with_cut_rail(inline_six(), "manifold", pieces, bore), condition, options);
    cranking.sample(0, cranking.start());
    Integration integration(cranking.side(), cranking.start(), 1e-4);
    PatternLu lu;
    Eigen::SparseMatrix<double> jacobian;
    Network::State by_time, rates, x(cranking.network().size());
    for (const double t : {0.001, 0.1, 0.2, 0.3}) {
      integration.advance(t, INFINITY, {});
      cranking.jacobian(integration.state(), jacobian, t, by_time, rates);
      for (const double dt : {1e-6, 1e-4, 1e-2}) {
        lu.factorise(jacobian, 4 / dt);
        lu.solve(rates, x);
        EXPECT_FALSE(lu.left_to_pivoting()) << pieces << " pieces, t = " << t << ", dt = " << dt;
      }
    }
    EXPECT_EQ(lu.plans(), 1) << pieces;
    if (before > 0) {
      const double times = 1.1 * pieces / before;
      EXPECT_LT(static_cast<double>(jacobian.nonZeros()), times * nonzeros) << pieces;
      EXPECT_LT(static_cast<double>(lu.entries()), times * entries) << pieces;
      EXPECT_LT(static_cast<double>(lu.products()), times * products) << pieces;
    }
    nonzeros = static_cast<double>(jacobian.nonZeros()), entries = static_cast<double>(lu.entries()),
    products = static_cast<double>(lu.products()), before = pieces;
  }
}

}  // namespace
}  // namespace railseep
