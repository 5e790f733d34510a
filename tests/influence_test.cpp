// Which samples a claim hangs on, against dense normal densities without them.
#include "match/influence.hpp"

#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <cmath>
#include <random>

namespace railseep {
namespace {

/// A log that rises and levels off, without wild samples or wider tolerances, so that its density is one normal.
CrankEvidence made_up_evidence(int samples) {
  CrankEvidence log;
  for (int i = 0; i < samples; ++i) {
    log.time.push_back(0.4 * (i + 1));
    log.measured.push_back(4e6 * (1 - std::exp(-log.time.back())));
  }
  log.condition.speed = Profile(18.0);
  log.sample_interval = 0.4;
  NoiseModel noise;
  noise.wild = 1e-12;
  noise.off = {{1, 1}};
  weigh_samples(log, noise, 0);
  return log;
}

FaultFit fit_off_by(const std::vector<CrankEvidence>& logs, const std::vector<std::vector<double>>& off) {
  FaultFit fit;
  for (std::size_t i = 0; i < logs.size(); ++i) {
    fit.computed.emplace_back();
    for (std::size_t k = 0; k < logs[i].time.size(); ++k)
      fit.computed.back().push_back(logs[i].measured[k] - off[i][k]);
  }
  return fit;
}

Eigen::MatrixXd covariance(const CrankEvidence& log) {
  const auto n = static_cast<Eigen::Index>(log.time.size());
  Eigen::MatrixXd lower = Eigen::MatrixXd::Identity(n, n);
  log.tolerance->levels.front().whitener.colour(lower);
  return lower * lower.transpose();
}

/// -ln of the normal density of the samples that are kept, as a textbook has it.
double dense_loss(const Eigen::MatrixXd& covariance, const std::vector<double>& off, const std::vector<bool>& out) {
  std::vector<Eigen::Index> kept;
  for (std::size_t k = 0; k < off.size(); ++k)
    if (!out[k]) kept.push_back(static_cast<Eigen::Index>(k));
  const auto n = static_cast<Eigen::Index>(kept.size());
  Eigen::MatrixXd c(n, n);
  Eigen::VectorXd r(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    r[i] = off[static_cast<std::size_t>(kept[static_cast<std::size_t>(i)])];
    for (Eigen::Index k = 0; k < n; ++k)
      c(i, k) = covariance(kept[static_cast<std::size_t>(i)], kept[static_cast<std::size_t>(k)]);
  }
  const Eigen::LLT<Eigen::MatrixXd> factor(c);
  return 0.5 * r.dot(factor.solve(r)) + factor.matrixLLT().diagonal().array().log().sum();
}

TEST(Influence, OfEachSampleIsWhatTheDensityLosesWithoutIt) {
  const std::vector<CrankEvidence> logs{made_up_evidence(12), made_up_evidence(20)};
  std::mt19937 random(5);
  std::normal_distribution<double> noise(0, 4e4);
  std::vector<std::vector<double>> near, far;
  for (const CrankEvidence& log : logs) {
    near.emplace_back();
    far.emplace_back();
    for (std::size_t k = 0; k < log.time.size(); ++k) {
      near.back().push_back(noise(random));
      far.back().push_back(noise(random) + (k == 6 ? 2e5 : 3e4));
    }
  }
  const std::vector<SampleInfluence> speaks = influences(logs, fit_off_by(logs, near), fit_off_by(logs, far), 10);
  ASSERT_EQ(speaks.size(), 10u);  // several of each log: what is left out before counts
  std::vector<std::vector<bool>> out;
  for (const CrankEvidence& log : logs) out.emplace_back(log.time.size());
  const auto difference = [&] {
    double sum = 0;
    for (std::size_t i = 0; i < logs.size(); ++i)
      sum += dense_loss(covariance(logs[i]), far[i], out[i]) - dense_loss(covariance(logs[i]), near[i], out[i]);
    return sum;
  };
  for (const SampleInfluence& one : speaks) {
    const double before = difference();
    double most = 0;  // that any sample could take away
    for (std::size_t i = 0; i < logs.size(); ++i)
      for (std::size_t k = 0; k < logs[i].time.size(); ++k) {
        if (out[i][k]) continue;
        out[i][k] = true;
        most = std::max(most, before - difference());
        out[i][k] = false;
      }
    out[one.log][one.sample] = true;
    EXPECT_NEAR(before - difference(), one.weight, 1e-6);
    EXPECT_NEAR(one.weight, most, 1e-6);
  }
  EXPECT_EQ(speaks.front().sample, 6u);
}

TEST(Influence, SaysWhetherFewSamplesMakeAllThatTellsTwoApart) {
  const auto weights = [](std::initializer_list<double> all) {
    std::vector<SampleInfluence> speaks;
    for (const double weight : all) speaks.push_back({0, speaks.size(), weight});
    return speaks;
  };
  // Four samples make 7 of 7.5, three of them 6.
  EXPECT_TRUE(hangs_on_few(7.5, weights({3, 2, 1, 1})));
  EXPECT_NEAR(without_spoilt(7.5, weights({3, 2, 1, 1})), 1.5, 1e-12);
  // Each of many says a little.
  EXPECT_FALSE(hangs_on_few(7.5, weights({0.5, 0.5, 0.5, 0.5})));
  // One sample makes more than there is: without it the logs speak for the other.
  EXPECT_TRUE(hangs_on_few(4, weights({9})));
  EXPECT_LT(without_spoilt(4, weights({9})), 0);
  // What is not told apart is no claim.
  EXPECT_FALSE(hangs_on_few(1, weights({1})));
}

}  // namespace
}  // namespace railseep
