#include "fit/kalman_whitener.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>

#include "evidence/evidence.hpp"

namespace railseep {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

struct MadeUp {
  std::vector<double> time;
  double memory = 0;
  Eigen::Matrix3Xd seen;
  VectorXd noise;

  KalmanWhitener whitener() const { return {time, memory, seen, noise}; }

  /// The covariance as the header states it, written out.
  MatrixXd covariance() const {
    return MatrixXd::NullaryExpr(noise.size(), noise.size(), [&](Index i, Index k) {
      const double apart = std::abs(time[static_cast<std::size_t>(i)] - time[static_cast<std::size_t>(k)]);
      return (seen(0, i) * seen(0, k) + seen(1, i) * seen(1, k)) * std::exp(-apart / memory) + seen(2, i) * seen(2, k) +
             (i == k ? noise[i] : 0);
    });
  }
};

/// Steps of 1 ms to some seconds, deviations from none to ten times the noise.
MadeUp made_up(unsigned seed, Index size) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> even(0, 1);
  MadeUp log{{0.3}, 0.2 + 3 * even(random), Eigen::Matrix3Xd(3, size), VectorXd(size)};
  while (static_cast<Index>(log.time.size()) < size)
    log.time.push_back(log.time.back() + std::pow(10, -3 + 3.5 * even(random)));
  for (Index i = 0; i < size; ++i) {
    for (Index k = 0; k < 3; ++k) log.seen(k, i) = even(random) < 0.3 ? 0 : 10 * even(random);
    log.noise[i] = 0.2 + even(random);
  }
  return log;
}

TEST(KalmanWhitener, IsTheCholeskyFactorOfTheCovarianceItStates) {
  for (unsigned seed = 1; seed <= 30; ++seed) {
    const MadeUp log = made_up(seed, 1 + static_cast<Index>(seed * 2));
    const KalmanWhitener whitener = log.whitener();
    const MatrixXd covariance = log.covariance(), lower = covariance.llt().matrixL(), inverse = covariance.inverse();
    const MatrixXd x = MatrixXd::Random(log.noise.size(), 3);
    const auto expect = [&](void (KalmanWhitener::*operation)(Eigen::Ref<MatrixXd>) const, const MatrixXd& dense,
                            const char* what) {
      MatrixXd result = x;
      (whitener.*operation)(result);
      EXPECT_LT((result - dense).norm(), 1e-9 * (1 + dense.norm())) << what << " " << seed;
    };
    expect(&KalmanWhitener::whiten, lower.triangularView<Eigen::Lower>().solve(x), "L^-1");
    expect(&KalmanWhitener::colour, lower * x, "L");
    expect(&KalmanWhitener::whiten_transposed, lower.transpose().triangularView<Eigen::Upper>().solve(x), "L'^-1");
    expect(&KalmanWhitener::colour_transposed, lower.transpose() * x, "L'");
    EXPECT_NEAR(whitener.log_determinant(), lower.diagonal().array().log().sum(), 1e-9) << seed;
    EXPECT_LT((whitener.precision() - inverse.diagonal()).norm(), 1e-9 * inverse.norm()) << seed;
    EXPECT_LT((whitener.deviation() - covariance.diagonal().cwiseSqrt()).norm(), 1e-9 * covariance.norm()) << seed;
  }
}

// What NoiseModel grants, written out from its own words: an offset and a share that last, a rise that comes otherwise,
// an overshoot that stays, and for each sample noise, the converter's step and its time.
TEST(Evidence, CovarianceIsThatOfItsDefinition) {
  CrankEvidence log;
  log.time = {0, 0.5, 1, 1.5, 2.5, 3, 3.5, 4};
  log.measured = {0, 1e5, 4e6, 9e6, 7e6, 6e6, 5.5e6, 5e6};
  log.condition.speed = Profile(18.0);
  log.sample_interval = 0.5;
  NoiseModel noise;
  noise.noise = 1e6;  // more than the log scatters by itself
  const double resolution = 2e5;
  weigh_samples(log, noise, resolution);
  MatrixXd factor = MatrixXd::Identity(8, 8);
  log.tolerance->levels[2].whitener.colour(factor);
  const double times = noise.off[2].times;

  const double slope_at_end = (5e6 - 7e6) / (4 - 2.5),
               settled = 5e6 + 10 * slope_at_end;  // over the last third, ten seconds ahead
  const auto slope = [&](std::size_t i) {
    const std::size_t before = i == 0 ? 0 : i - 1, after = std::min<std::size_t>(i + 1, 7);
    return (log.measured[after] - log.measured[before]) / (log.time[after] - log.time[before]);
  };
  for (std::size_t i = 0; i < 8; ++i)
    for (std::size_t k = 0; k <= i; ++k) {
      const auto lasting = [&](std::size_t s) { return std::hypot(3e4, 0.03 * log.measured[s]); };
      const auto filling = [&](std::size_t s) { return 0.02 * log.time[s] * std::max(0.0, slope(s)); };
      const auto overshoot = [&](std::size_t s) {
        return (0.03 + 0.25 * 0.5) * (log.measured[s] - std::max(0.0, settled));
      };
      double expected =
          times * times *
          ((lasting(i) * lasting(k) + filling(i) * filling(k)) * std::exp(-(log.time[i] - log.time[k]) / 1.5) +
           overshoot(i) * overshoot(k));
      if (i == k) expected += 1e12 + resolution * resolution / 12 + std::pow(0.15 * 0.5 * slope(i), 2);
      EXPECT_NEAR((factor * factor.transpose())(static_cast<Index>(i), static_cast<Index>(k)) / expected, 1, 1e-9)
          << i << " " << k;
    }
}

}  // namespace
}  // namespace railseep
