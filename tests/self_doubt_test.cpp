#include "match/self_doubt.hpp"

#include <gtest/gtest.h>

#include "full_match.hpp"
#include "made_up_log.hpp"
#include "match/match.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

const Circuit& inline_six() {
  static const Circuit circuit = read_circuit(source_file("models/inline_six.json"));
  return circuit;
}

Evidence log_of_a_hole() {
  return {
      {made_up_log(with_faults(inline_six(), std::vector{parse_fault("jumper tube 4 seal: hole 0.7 mm", inline_six())}),
                   {.name = "hot", .seed = 3})},
      {}};
}

MatchResult match_singles(const Evidence& evidence) {
  MatchOptions options;
  options.pairs = Pairs::never;
  return match(inline_six(), evidence, read_priors(source_file("models/priors.json")), options);
}

TEST(SelfDoubt, ALittleBehindIsBelievedALotHardly) {
  EXPECT_EQ(tempered_log_odds(0), 0);
  EXPECT_NEAR(tempered_log_odds(0.1) / 0.1, 1, 0.02);
  EXPECT_NEAR(tempered_log_odds(1e4), 3 * std::log(1e4 / 3),
              0.01);  // far behind it is a power law: odds of (3/behind)^3
  for (double behind = 0.5; behind < 100; behind *= 1.5)
    EXPECT_LT(tempered_log_odds(behind), tempered_log_odds(1.5 * behind)) << "the order stays";
}

TEST(SelfDoubt, OneJobInTwentyIsMisled) {
  const std::vector<double> mixed = mixed_with_prior({1, 0, 0}, {0.2, 0.2, 0.6});
  EXPECT_NEAR(mixed[0], 0.96, 1e-12);
  EXPECT_NEAR(mixed[1], 0.01, 1e-12);
  EXPECT_NEAR(mixed[2], 0.03, 1e-12);
}

// The same log twice: once with tolerances that are guesses, once as if they had been measured on this engine. The
// order of what explains the log best is the same, and odds and intervals differ by the formulas.
TEST(SelfDoubt, IsOfTolerancesThatAreGuesses) {
  FULL_MATCH;
  Evidence evidence = log_of_a_hole();
  const MatchResult guesses = match_singles(evidence);
  evidence.logs.front().assumed_tolerances = false;
  const MatchResult measured = match_singles(evidence);
  const auto find = [](const MatchResult& result, const std::string& title) -> const FaultFit& {
    return *std::ranges::find_if(result.fits, [&](const FaultFit& fit) { return fit.candidate.title() == title; });
  };
  double best = -INFINITY;
  for (const FaultFit& fit : measured.fits) best = std::max(best, fit.log_evidence);
  const auto weight = [&](const FaultFit& fit) {
    return fit.candidate.prior * std::pow(1 + (best - fit.log_evidence) / 3, -3);
  };
  double weights = 0, priors_sum = 0;
  for (const FaultFit& fit : guesses.fits) weights += weight(fit), priors_sum += fit.candidate.prior;
  int compared = 0;
  for (const FaultFit& fit : guesses.fits) {
    const FaultFit& same = find(measured, fit.candidate.title());
    ASSERT_DOUBLE_EQ(fit.log_evidence, same.log_evidence);
    EXPECT_NEAR(fit.probability, 0.95 * weight(fit) / weights + 0.05 * fit.candidate.prior / priors_sum, 1e-9)
        << fit.candidate.title();
    const FaultFit &first = guesses.fits.front(), &other = find(measured, first.candidate.title());
    if (same.probability < 1e-200) continue;
    const double odds_measured = std::log(same.probability / other.probability),
                 priors_odds = std::log(fit.candidate.prior / first.candidate.prior);
    EXPECT_NEAR(odds_measured, priors_odds + same.log_evidence - other.log_evidence, 1e-6) << fit.candidate.title();
    ++compared;
  }
  EXPECT_GT(compared, 20);
  const Severity &doubted = find(guesses, measured.fits.front().candidate.title()).severities.front(),
                 &sure = measured.fits.front().severities.front();
  // A twentieth of the prior, half of it below the interval: 2.63 % of the rest stays outside at either end, 1.938
  // standard deviations instead of 1.645.
  EXPECT_NEAR((doubted.high - doubted.low) / (sure.high - sure.low), 1.938 / 1.645 / std::sqrt(0.7), 0.1);
}

// A coil that was measured good is not open, whatever the logs are worth: a candidate far behind in the logs is asked
// all the same.
TEST(SelfDoubt, WhatWasMeasuredCountsWhereTheLogsMislead) {
  FULL_MATCH;
  Evidence evidence = log_of_a_hole();
  const auto open_coil = [&] {
    const MatchResult result = match_singles(evidence);
    const auto found = std::ranges::find_if(result.fits, [](const FaultFit& fit) {
      return !fit.candidate.healthy() && fit.candidate.suspects.front().kind->word == "coil open";
    });
    EXPECT_NE(found, result.fits.end());
    return std::pair(found->probability, found->candidate.prior);
  };
  const auto [untold, prior] = open_coil();
  EXPECT_GT(untold, 0.9 * misleading_log_share * prior) << "its share of the jobs in which the logs mislead";
  const double good = std::get<Regulator>(inline_six().links[inline_six().only<Regulator>()].element).hot_resistance();
  evidence.observations.checks.push_back({"coil resistance", false, "", good});
  EXPECT_LT(open_coil().first, 0.05 * untold);
}

}  // namespace
}  // namespace railseep
