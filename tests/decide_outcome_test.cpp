#include <gtest/gtest.h>

#include <random>

#include "decide/outcome.hpp"

namespace railseep {
namespace {

// Normal table, NIST/SEMATECH e-Handbook 1.3.6.7.1: area up to 1.00 is 0.84134, to 1.96 0.97500, to 2.58 0.99506.
TEST(Ranges, HoldTheSharesOfTheNormalTable) {
  const Ranges ranges{"", "", Quantity::voltage, "V", {1.00, 1.96, 2.58}};
  const Eigen::VectorXd p = range_probabilities(ranges, 0, 1);
  EXPECT_NEAR(p[0], 0.84134, 5e-6);
  EXPECT_NEAR(p[1], 0.97500 - 0.84134, 1e-5);
  EXPECT_NEAR(p[2], 0.99506 - 0.97500, 1e-5);
  EXPECT_NEAR(p.sum(), 1, 1e-15);
}

TEST(Ranges, AreSaidInTheUnitOfTheReading) {
  const Ranges ranges{"it reads ", " at rest", Quantity::pressure, "MPa", {1e6, 2e6, 3.5e6}};
  EXPECT_EQ(ranges.words(0, 0), "it reads under 1 MPa at rest");
  EXPECT_EQ(ranges.words(1, 1), "it reads 1 to 2 MPa at rest");
  EXPECT_EQ(ranges.words(1, 2), "it reads 1 to 3.5 MPa at rest");
  EXPECT_EQ(ranges.words(2, 3), "it reads over 2 MPa at rest");
  EXPECT_EQ(ranges.words(0, 3), "it reads anything at rest");
}

TEST(StandingOut, IsWhatDrawnEarsSay) {
  const std::vector<double> excess{4, 11, 0, 9};
  constexpr double error = 5, threshold = 10;
  const Eigen::VectorXd p = standing_out(excess, error, threshold);
  std::mt19937 random(3);
  std::normal_distribution<double> gauss(0, error);
  constexpr int draws = 200000;
  std::vector<int> count(excess.size() + 1, 0);
  for (int i = 0; i < draws; ++i) {
    std::size_t first = excess.size();
    double loudest = threshold;
    for (std::size_t k = 0; k < excess.size(); ++k)
      if (const double x = excess[k] + gauss(random); x > loudest) loudest = x, first = k;
    ++count[first];
  }
  for (std::size_t k = 0; k < count.size(); ++k) {
    const double share = static_cast<double>(count[k]) / draws;
    EXPECT_NEAR(p[static_cast<Eigen::Index>(k)], share, 4 * std::sqrt(share * (1 - share) / draws)) << k;
  }
}

TEST(StandingOut, NamesThePlaceThatIsFarLouder) {
  const Eigen::VectorXd p = standing_out({60, 0}, 5, 10);
  EXPECT_NEAR(p[0], 1, 1e-6);
  EXPECT_NEAR(standing_out({}, 5, 10)[0], 1, 1e-12);
}

TEST(Slips, MixWithAnything) {
  const Eigen::VectorXd p = with_slips(Eigen::Vector2d(1, 0), 0.1);
  EXPECT_DOUBLE_EQ(p[0], 0.95);
  EXPECT_DOUBLE_EQ(p[1], 0.05);
}

}  // namespace
}  // namespace railseep
