#include "fit/tolerances.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <numeric>
#include <random>

namespace railseep {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int samples = 6;
constexpr double share = 0.01;

/// A deviation that lasts beside noise of one.
MatrixXd covariance_of(double lasting) {
  return MatrixXd::NullaryExpr(samples, samples, [&](Index i, Index k) {
    return lasting * lasting * std::exp(-0.2 * std::abs(static_cast<double>(i - k))) + (i == k);
  });
}

/// The same as a state.
KalmanWhitener whitener_of(double lasting, Index size = samples) {
  std::vector<double> time(static_cast<std::size_t>(size));
  std::iota(time.begin(), time.end(), 0.0);
  return {time, 5, Eigen::Vector3d(lasting, 0, 0).replicate(1, size), VectorXd::Ones(size)};
}

std::shared_ptr<const LogTolerance> tolerance_of(double lasting, const VectorXd& doubt) {
  return std::make_shared<const LogTolerance>(std::vector<LogTolerance::Width>{{1, whitener_of(lasting, doubt.size())}},
                                              doubt, share);
}

Tolerances wild_in(double lasting, const VectorXd& doubt) { return Tolerances({tolerance_of(lasting, doubt)}); }

/// What lasts may be three times as large, in a fifth of all logs.
Tolerances in_widths(double lasting, const VectorXd& doubt) {
  return Tolerances({std::make_shared<const LogTolerance>(
      std::vector<LogTolerance::Width>{{0.8, whitener_of(lasting)}, {0.2, whitener_of(3 * lasting)}}, doubt, share)});
}

VectorXd whitened(const MatrixXd& covariance, const VectorXd& r) { return covariance.llt().matrixL().solve(r); }

/// The definition, written out over all sets of samples: -ln of the normal density, relative to that of y = 0 with
/// covariance C.
double definition(const MatrixXd& covariance, const VectorXd& doubt, const VectorXd& r, double wild = share) {
  double lowest = INFINITY;
  for (int set = 0; set < (1 << samples); ++set) {
    MatrixXd with = covariance;
    double odds = 0;
    for (int i = 0; i < samples; ++i) {
      const bool in = (set >> i) & 1;
      if (in) with(i, i) += doubt[i] * doubt[i];
      odds += std::log(in ? wild : 1 - wild);
    }
    lowest = std::min(lowest, 0.5 * r.dot(with.ldlt().solve(r)) +
                                  0.5 * std::log(with.determinant() / covariance.determinant()) - odds);
  }
  return lowest;
}

TEST(WildSamples, LossIsTheLowestOverAllSetsOfSamples) {
  std::mt19937 random(4);
  std::normal_distribution<double> gauss;
  for (const double lasting : {0.0, 2.0, 10.0}) {
    const MatrixXd covariance = covariance_of(lasting);
    const VectorXd doubt = VectorXd::LinSpaced(samples, 30, 60);
    for (int run = 0; run < 20; ++run) {
      VectorXd r = covariance.llt().matrixL() * VectorXd::NullaryExpr(samples, [&] { return gauss(random); });
      if (run % 4 > 0) r[run % samples] += 25;
      if (run % 4 > 1) r[(run + 3) % samples] -= 35;
      EXPECT_NEAR(wild_in(lasting, doubt).loss(whitened(covariance, r)), definition(covariance, doubt, r), 1e-9)
          << lasting << " " << run;
    }
  }
}

// The samples together are six deviations off: improbable, and not for any single one of them. Its probability is that
// of the normal distribution alone.
TEST(WildSamples, AreNotMadeOfADeviationThatAllShare) {
  const MatrixXd covariance = covariance_of(5);
  const VectorXd r = VectorXd::Constant(samples, 30), y = whitened(covariance, r);
  const Weighing weighing = wild_in(5, VectorXd::Constant(samples, 100)).weigh(y);
  EXPECT_TRUE(weighing.wild.empty());
  EXPECT_NEAR(weighing.loss, 0.5 * r.dot(covariance.ldlt().solve(r)) - samples * std::log(1 - share), 1e-9);
  EXPECT_GT(weighing.loss, 18);
  EXPECT_GT(y.cwiseAbs().maxCoeff(),
            5);  // one entry of the whitened residual carries it all: judged alone it would pass for wild
}

TEST(WildSamples, LeaveTheOthersAsTheyAre) {
  const MatrixXd covariance = covariance_of(2);
  const VectorXd doubt = VectorXd::Constant(samples, 40);
  VectorXd r = VectorXd::Constant(samples, 1.5);
  r[2] += 20;
  const Tolerances wild({tolerance_of(0, VectorXd::Constant(3, 8)), tolerance_of(2, doubt)});  // another log before it
  VectorXd y(3 + samples);
  y << 0.3, -1, 0.5, whitened(covariance, r);
  const Weighing weighing = wild.weigh(y);
  ASSERT_EQ(weighing.wild, std::vector<Index>{5});
  MatrixXd with = covariance;
  with(2, 2) += 40 * 40;
  EXPECT_NEAR(y.dot(weighing.apply(y)), 0.09 + 1 + 0.25 + r.dot(with.ldlt().solve(r)), 1e-9);
  const MatrixXd both = (MatrixXd(3 + samples, 2) << y, 2 * y).finished();
  EXPECT_LT((weighing.apply(both).col(1) - 2 * weighing.apply(y)).norm(), 1e-9);
}

TEST(WildSamples, WidenedAreThoseOfAWiderCovariance) {
  const MatrixXd covariance = covariance_of(2);
  const VectorXd doubt = VectorXd::Constant(samples, 60);
  VectorXd r = VectorXd::LinSpaced(samples, -4, 6);
  r[4] -= 55;
  const double widened = wild_in(2, doubt).widened(3).loss(whitened(covariance, r) / 3);
  EXPECT_NEAR(widened, definition(9 * covariance, doubt, r), 1e-9);
}

TEST(WildSamples, WithoutThemTheLossIsThatOfSquares) {
  const VectorXd y{{1, 2, -3}};
  EXPECT_EQ(Tolerances().loss(y), 7);
}

// Many samples, a tenth of them wild: sets found with one dense inverse a sample, from the definition.
TEST(WildSamples, OfALongLogAreThoseThatADenseInverseFinds) {
  constexpr Index size = 80;
  std::mt19937 random(9);
  std::normal_distribution<double> gauss;
  const double lasting = 3;
  MatrixXd covariance = MatrixXd::NullaryExpr(size, size, [&](Index i, Index k) {
    return lasting * lasting * std::exp(-0.2 * std::abs(static_cast<double>(i - k))) + (i == k);
  });
  VectorXd r = covariance.llt().matrixL() * VectorXd::NullaryExpr(size, [&] { return gauss(random); });
  for (Index i = 5; i < size; i += 11) r[i] += i % 2 ? 30 : -45;
  const VectorXd doubt = VectorXd::Constant(size, 50), y = whitened(covariance, r);
  const Weighing weighing = wild_in(lasting, doubt).weigh(y);

  std::vector<Index> wild;
  const double from = -std::log(1 - share) * size;
  double loss = 0.5 * r.dot(covariance.ldlt().solve(r)) + from, log_determinant = 0;
  const double first = 2 * covariance.llt().matrixLLT().diagonal().array().log().sum();
  for (bool found = true; found && wild.size() < size / 8;) {
    found = false;
    double lowest = loss;
    Index best = 0;
    for (Index i = 0; i < size; ++i) {
      MatrixXd with = covariance;
      with(i, i) += doubt[i] * doubt[i];
      const Eigen::LLT<MatrixXd> factor(with);
      log_determinant = 2 * factor.matrixLLT().diagonal().array().log().sum() - first;
      const double here = 0.5 * r.dot(factor.solve(r)) + 0.5 * log_determinant + from +
                          static_cast<double>(wild.size() + 1) * std::log((1 - share) / share);
      if (here < lowest) lowest = here, best = i, found = true;
    }
    if (!found) break;
    covariance(best, best) += doubt[best] * doubt[best];
    wild.push_back(best), loss = lowest;
  }
  ASSERT_GE(wild.size(), 5);
  EXPECT_EQ(weighing.wild, wild);
  EXPECT_NEAR(weighing.loss, loss, 1e-8);
  EXPECT_NEAR(y.dot(weighing.apply(y)), r.dot(covariance.ldlt().solve(r)), 1e-8);
}

// Where all samples look wild, it is the model that is: the loss must not flatten out.
TEST(WildSamples, NoMoreThanAnEighthOfALogIsLeftOut) {
  for (const auto& [size, most] : {std::pair<Index, std::size_t>{6, 4}, {40, 5}, {80, 10}}) {
    const Tolerances wild = wild_in(0, VectorXd::Constant(size, 1000));
    EXPECT_EQ(wild.weigh(VectorXd::Constant(size, 100)).wild.size(), most);
  }
}

// The definition, written out over both widths.
// Huber (1964), the definition (from memory): half the square up to k, from there on straight with the slope it has
// there. The weights must give its gradient.
TEST(Tolerances, HubersLossIsThatOfItsDefinition) {
  constexpr double k = 3;
  const Tolerances huber = Tolerances::huber(k);
  EXPECT_FALSE(huber.finds_wild());
  const VectorXd y{{-80, -3.1, -0.5, 0, 2.9, 12}};
  EXPECT_NEAR(huber.loss(y), k * (80 - k / 2) + k * (3.1 - k / 2) + 0.125 + 0.5 * 2.9 * 2.9 + k * (12 - k / 2), 1e-12);
  const VectorXd pull = huber.weigh(y).apply(y);
  for (Index i = 0; i < y.size(); ++i) {
    const VectorXd step = 1e-5 * VectorXd::Unit(y.size(), i);
    EXPECT_NEAR(pull[i], (huber.loss(y + step) - huber.loss(y - step)) / 2e-5, 1e-6) << i;
  }
}

TEST(Tolerances, LossIsThatOfTheLikelierWidth) {
  std::mt19937 random(7);
  std::normal_distribution<double> gauss;
  const double lasting = 2;
  const MatrixXd narrow = covariance_of(lasting), wide = covariance_of(3 * lasting);
  const VectorXd doubt = VectorXd::LinSpaced(samples, 30, 60);
  int widened = 0;
  for (int run = 0; run < 20; ++run) {
    VectorXd r =
        (run % 2 ? wide : narrow).llt().matrixL() * VectorXd::NullaryExpr(samples, [&] { return gauss(random); });
    if (run % 4 > 1) r *= 2;
    if (run % 3 == 0) r[run % samples] += 45;
    const double in_narrow = definition(narrow, doubt, r) - std::log(0.8);
    const double in_wide =
        definition(wide, doubt, r) + 0.5 * std::log(wide.determinant() / narrow.determinant()) - std::log(0.2);
    const Weighing weighing = in_widths(lasting, doubt).weigh(whitened(narrow, r));
    EXPECT_NEAR(weighing.loss, std::min(in_narrow, in_wide), 1e-9) << run;
    EXPECT_EQ(weighing.widths, std::vector<std::size_t>{in_wide < in_narrow}) << run;
    widened += in_wide < in_narrow;
  }
  EXPECT_GT(widened, 3);
  EXPECT_LT(widened, 17);
}

// x'Wx is the squared distance under the wider covariance with the doubt of the wild sample in it, and only in the rows
// of that log.
TEST(Tolerances, AWiderLogCountsByItsOwnCovariance) {
  const MatrixXd narrow = covariance_of(2), wide = covariance_of(6);
  const VectorXd doubt = VectorXd::Constant(samples, 40);
  VectorXd r = VectorXd::Constant(samples, 14);
  r[2] += 40;
  const Tolerances one = in_widths(2, doubt);
  VectorXd y = whitened(narrow, r);
  const Weighing weighing = one.weigh(y);
  ASSERT_EQ(weighing.widths, std::vector<std::size_t>{1});
  ASSERT_EQ(weighing.wild, std::vector<Index>{2});
  MatrixXd with = wide;
  with(2, 2) += 40 * 40;
  EXPECT_NEAR(y.dot(weighing.apply(y)), r.dot(with.ldlt().solve(r)), 1e-9);
  const MatrixXd both = (MatrixXd(samples, 2) << y, 2 * y).finished();
  EXPECT_LT((weighing.apply(both).col(1) - 2 * weighing.apply(y)).norm(), 1e-9);
}

// A search that begins far off would find every log worth doubting; and how badly a fit explains its logs is told by
// what is usually granted.
TEST(Tolerances, WidenedOrNarrowestTryNoOtherWidth) {
  const MatrixXd narrow = covariance_of(2);
  const VectorXd doubt = VectorXd::Constant(samples, 100), r = VectorXd::Constant(samples, 8), y = whitened(narrow, r);
  const Tolerances all = in_widths(2, doubt);
  ASSERT_EQ(all.weigh(y).widths, std::vector<std::size_t>{1});
  EXPECT_NEAR(all.narrowest().loss(y), definition(narrow, doubt, r) - std::log(0.8), 1e-9);
  EXPECT_NEAR(all.widened(3).loss(y / 3), definition(9 * narrow, doubt, r) - std::log(0.8), 1e-9);
}

}  // namespace
}  // namespace railseep
