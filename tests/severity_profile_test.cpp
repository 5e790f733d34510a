#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>

#include "fit/profile.hpp"
#include "match/severity_posterior.hpp"

namespace railseep {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

LeastSquaresProblem bounded(std::function<VectorXd(const VectorXd&)> residuals, int size, double bound) {
  LeastSquaresProblem problem;
  problem.residuals = std::move(residuals);
  problem.least = VectorXd::Constant(size, -bound), problem.most = VectorXd::Constant(size, bound);
  return problem;
}

SeverityPosterior posterior_of(const LeastSquaresProblem& problem, const LeastSquaresFit& fit) {
  SeverityPosterior posterior(problem.least[0], problem.most[0]);
  for (const ProfilePoint& point : severity_profile(problem, fit)) posterior.add(point.at, fit.cost - point.cost);
  return posterior;
}

/// Coordinates are their own values.
Severity severity(const SeverityPosterior& posterior, double bound, bool doubted = false) {
  return posterior.severity({Unknown::Where::severity, "u", 0, 1, false, -bound, bound, 0, ""}, doubted);
}

// Linear and normal: the marginal of the first parameter is normal, with the variance of the inverse Hessian. Source:
// Bishop, Pattern Recognition and Machine Learning (2006), eq. 2.98 (from memory).
TEST(SeverityProfile, OfALinearProblemIsAParabola) {
  std::mt19937 random(2);
  std::normal_distribution<double> gauss;
  const MatrixXd a = MatrixXd::NullaryExpr(12, 3, [&] { return 2 * gauss(random); });
  const VectorXd b = VectorXd::NullaryExpr(12, [&] { return gauss(random); }) + a * VectorXd{{0.5, -1, 1}};
  const LeastSquaresProblem problem = bounded([&](const VectorXd& u) -> VectorXd { return b - a * u; }, 3, 50);
  const LeastSquaresFit fit = least_squares(problem, VectorXd::Zero(3));
  const double variance = (a.transpose() * a + MatrixXd::Identity(3, 3)).inverse()(0, 0);
  const std::vector<ProfilePoint> profile = severity_profile(problem, fit);
  ASSERT_GE(profile.size(), 6u);
  for (const ProfilePoint& point : profile)
    EXPECT_NEAR(point.cost - fit.cost, 0.5 * std::pow(point.at - fit.u[0], 2) / variance, 0.1) << point.at;
  const Severity found = severity(posterior_of(problem, fit), 50);
  EXPECT_NEAR(found.low, fit.u[0] - 1.645 * std::sqrt(variance), 0.06 * std::sqrt(variance));
  EXPECT_NEAR(found.high, fit.u[0] + 1.645 * std::sqrt(variance), 0.06 * std::sqrt(variance));
}

// A density that falls from its bound on: its mode is the bound, which the middle 90 % leave out. exp(-u) from 0 on
// holds 90 % below ln 10.
TEST(SeverityPosterior, ItsIntervalHoldsItsBestValue) {
  SeverityPosterior falling(0, 30), rising(-30, 0);
  for (double at = 0; at <= 15; at += 0.25) falling.add(at, -at), rising.add(-at, -at);
  const Unknown unknown{Unknown::Where::severity, "u", 0, 1, false, -30, 30, 0, ""};
  const Severity low = falling.severity(unknown, false), high = rising.severity(unknown, false);
  EXPECT_NEAR(low.best, 0, 0.03);
  EXPECT_LE(low.low, low.best);
  EXPECT_NEAR(low.high, std::log(10), 0.03);
  EXPECT_NEAR(high.best, 0, 0.03);
  EXPECT_GE(high.high, high.best);
  EXPECT_NEAR(high.low, -std::log(10), 0.03);
  EXPECT_NEAR(low.cdf(low.high) - low.cdf(low.low), 0.9, 0.01);
}

// A valley that is bent and opens to one side: the parabola at its bottom is far too narrow there. Against a fine sum
// over both parameters.
TEST(SeverityProfile, FollowsABentValley) {
  const auto residuals = [](const VectorXd& u) -> VectorXd {
    return VectorXd{{4 * (u[1] - 0.5 * u[0] * u[0]), 3 * (u[0] > 0 ? 0.3 * u[0] : 4 * u[0])}};
  };
  const double bound = 6;
  const LeastSquaresProblem problem = bounded(residuals, 2, bound);
  const LeastSquaresFit fit = least_squares(problem, VectorXd{{-0.5, 0}});
  double sum = 0, above = 0;
  const Severity found = severity(posterior_of(problem, fit), bound);
  const double step = 0.01;
  for (double u = -3; u < 5; u += step)
    for (double v = -4; v < 6; v += step) {
      const VectorXd at{{u, v}};
      const double density = std::exp(-0.5 * residuals(at).squaredNorm() - 0.5 * at.squaredNorm());
      sum += density;
      if (u > found.high) above += density;
    }
  EXPECT_NEAR(above / sum, 0.05, 0.02);
}

TEST(SeverityProfile, ShowsABetterValleyThanTheFit) {
  const auto residuals = [](const VectorXd& u) -> VectorXd {
    return VectorXd{{3 * (1 - std::exp(-8 * std::pow(u[0] - 1, 2))), 2.5 * std::sin(3 * u[0]) + 2.5 * (u[0] < 0)}};
  };
  const LeastSquaresProblem problem = bounded(residuals, 1, 4);
  LeastSquaresFit fit = least_squares(problem, VectorXd::Constant(1, -1));
  ASSERT_LT(fit.u[0], 0);  // the deeper valley is near 1
  double lowest = fit.cost;
  for (const ProfilePoint& point : severity_profile(problem, fit)) lowest = std::min(lowest, point.cost);
  EXPECT_LT(lowest, fit.cost - 0.5);
}

TEST(SeverityProfile, StaysInsideItsBoundsAndIsInOrder) {
  const LeastSquaresProblem problem =
      bounded([](const VectorXd& u) -> VectorXd { return 0.1 * (u.array() - 3).matrix(); }, 2, 1);
  const LeastSquaresFit fit = least_squares(problem, VectorXd::Zero(2));
  const std::vector<ProfilePoint> profile = severity_profile(problem, fit);
  EXPECT_GE(profile.front().at, -1);
  EXPECT_LE(profile.back().at, 1);
  EXPECT_NEAR(profile.front().at, -1, 1e-9);
  for (std::size_t i = 1; i < profile.size(); ++i) EXPECT_GT(profile[i].at, profile[i - 1].at);
  EXPECT_NEAR(on_profile(profile, 0.123)[0], 0.123, 1e-9);
}

// ln of the integral of a normal density, in units of the prior: sqrt of its variance times its height. Source: the
// normal integral.
TEST(SeverityPosterior, ParabolaHasTheIntegralAndQuantilesOfANormal) {
  const SeverityPosterior posterior(0.4, 0.2, -10, 10);
  EXPECT_NEAR(posterior.log_integral(), std::log(0.2), 0.02);
  const Severity found = severity(posterior, 10);
  EXPECT_NEAR(found.best, 0.4, 0.01);
  EXPECT_NEAR(found.low, 0.4 - 1.645 * 0.2, 0.01);
  EXPECT_NEAR(found.high, 0.4 + 1.645 * 0.2, 0.01);
}

// Normal likelihood of precision h and normal prior: to the power 0.7 the likelihood's precision is 0.7*h, the prior's
// stays 1. In one job of twenty only the prior counts, far from where the evidence looked too.
TEST(SeverityPosterior, DoubtedItIsWiderWithTailsOfThePrior) {
  const auto normal = [](double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); };
  for (const double deviation : {0.2, 0.7, 1.0}) {
    const double at = deviation < 1 ? 0.4 : 0, precision = 1 / (deviation * deviation),
                 believed = 1 + 0.7 * (precision - 1);
    const double centre = 0.7 * at * precision / believed;
    const Severity found = severity(SeverityPosterior(at, deviation, -10, 10), 10, true);
    const auto below = [&](double x) { return 0.95 * normal((x - centre) * std::sqrt(believed)) + 0.05 * normal(x); };
    EXPECT_NEAR(below(found.low), 0.05, 0.002) << deviation;
    EXPECT_NEAR(below(found.high), 0.95, 0.002) << deviation;
    for (const double x : {-2.0, -1.0, 0.0, 0.4, 1.0, 2.0})
      EXPECT_NEAR(found.cdf(x), below(x), 0.003) << deviation << " " << x;
  }
}

// A normal prior that the logs leave as it is, times a normal likelihood of something else. Source: the product of two
// normal densities.
TEST(SeverityPosterior, WhatWasSeenBesideTheLogsIsBelievedWhole) {
  SeverityPosterior posterior(-10, 10);
  for (double at = -3; at < 3.01; at += 0.1) posterior.add(at, -0.5 * at * at, -0.5 * std::pow((at - 0.4) / 0.2, 2));
  EXPECT_NEAR(posterior.log_integral() - posterior.log_integral_of_logs(),
              std::log(0.2 / std::sqrt(1.04)) - 0.5 * 0.16 / 1.04, 0.01);
  const double centre = 10 / 26.0, half = 1.645 / std::sqrt(26.0);
  for (const bool doubted : {false, true}) {
    const Severity found = severity(posterior, 10, doubted);
    EXPECT_NEAR(found.low, centre - half, 0.01) << doubted;
    EXPECT_NEAR(found.high, centre + half, 0.01) << doubted;
    EXPECT_NEAR(found.best, centre, 0.01) << doubted;
  }
}

// Nothing known: the posterior is the prior, and the integral of a standard normal within its bounds over itself is 1.
TEST(SeverityPosterior, WithoutKnowledgeIsThePrior) {
  for (const double bound : {1.0, 2.0, 8.0})
    EXPECT_NEAR(SeverityPosterior(0, 1, -bound, bound).log_integral(), 0, 0.02) << bound;
}

/// S = 1/2*((u0^2 - 1)/0.2)^2 + 1/2*u0^2 + 1/2*(u1/0.5)^2 + 1/2*u1^2: two valleys alike at u0 = +-1 but for a residual
/// that tells them apart.
LeastSquaresProblem two_valleys(double told_apart) {
  return bounded(
      [told_apart](const VectorXd& u) -> VectorXd {
        return VectorXd{{(u[0] * u[0] - 1) / 0.2, u[1] / 0.5, told_apart * (u[0] - 1)}};
      },
      2, 5);
}

double exact_cost(double told_apart, double u) {
  return 0.5 * std::pow((u * u - 1) / 0.2, 2) + 0.5 * u * u + 0.5 * std::pow(told_apart * (u - 1), 2);
}

/// P(u0 < 0) by a fine sum over the exact profile: the second parameter's volume is the same everywhere.
double exact_share_below_zero(double told_apart) {
  double below = 0, all = 0;
  for (double u = -2.4995; u < 2.5; u += 0.001) {
    const double weight = std::exp(-exact_cost(told_apart, u));
    all += weight, below += u < 0 ? weight : 0;
  }
  return below / all;
}

// The ridge between the valleys is 12 high: a walk outwards from one never sees the other.
TEST(MultimodalProfile, FindsAnotherValleyFromAPlaceSeenBefore) {
  for (const double told_apart : {0.0, 0.5}) {
    const LeastSquaresProblem problem = two_valleys(told_apart);
    for (const double begin : {1.0, -1.0}) {  // also from the worse one
      const LeastSquaresFit fit = least_squares(problem, VectorXd{{begin, 0}});
      ASSERT_NEAR(fit.u[0], begin, 0.1);
      const VectorXd other{{-0.8 * begin, 0.2}};
      const MultimodalProfile whole = multimodal_profile(problem, fit, {{other, problem.residuals(other)}});
      EXPECT_NEAR(whole.best.u[0], told_apart > 0 ? 1 : whole.best.u[0], 0.1);
      SeverityPosterior posterior(problem.least[0], problem.most[0]);
      for (const ProfilePoint& point : whole.points) {
        if (std::abs(point.at) > 0.7) {
          EXPECT_NEAR(point.cost, exact_cost(told_apart, point.at), 0.3)
              << point.at;  // volumes of the second parameter are equal
        }
        posterior.add(point.at, whole.best.cost - point.cost);
      }
      EXPECT_NEAR(severity(posterior, 5).cdf(0), exact_share_below_zero(told_apart), 0.06)
          << told_apart << " from " << begin;
    }
  }
}

}  // namespace
}  // namespace railseep
