#include <gtest/gtest.h>

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>

#include "circuit/circuit_file.hpp"
#include "full_match.hpp"
#include "hypothesis/predictor.hpp"
#include "log/log_reader.hpp"
#include "made_up_log.hpp"
#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"
#include "shipped_circuits.hpp"
#include "study/study_report.hpp"

namespace railseep {
namespace {

Priors shipped_priors() { return read_priors(source_file("models/priors.json")); }

// Clopper & Pearson (1934), closed form where nothing was hit: (1 - p)^n = 0.025.
TEST(Share, IntervalOfNoHitInTenIsClosedForm) {
  const Share none{0, 10}, all{10, 10};
  EXPECT_NEAR(none.high(), 1 - std::pow(0.025, 0.1), 1e-9);
  EXPECT_EQ(none.low(), 0);
  EXPECT_NEAR(all.low(), std::pow(0.025, 0.1), 1e-9);
}

/// Outcomes whose ranks are spread evenly, and whose probabilities come true exactly as often as they say.
std::vector<JobOutcome> honest(int n) {
  std::vector<JobOutcome> all;
  for (int i = 0; i < n; ++i) {
    JobOutcome o;
    o.kind = "hole (site)", o.severity = 1e-3, o.best = 1.02e-3, o.sharpness = 0.1;
    o.cdf = (i + 0.5) / n;
    o.probabilities = {0.75, 0.25}, o.truth = i % 4 == 3;
    o.kinds = {"gap (site)", "hole (site)"}, o.kind_probabilities = {0.25, 0.75};
    if (i % 4 == 3) o.kind = "gap (site)";
    all.push_back(o);
  }
  return all;
}

TEST(Score, HonestOutcomesScoreAsTheyClaim) {
  const std::vector<JobOutcome> outcomes = honest(400);
  const Score all = score("all", outcomes);
  EXPECT_DOUBLE_EQ(all.covered_50.value(), 0.5);
  EXPECT_DOUBLE_EQ(all.covered_80.value(), 0.8);
  EXPECT_DOUBLE_EQ(all.covered_90.value(), 0.9);
  EXPECT_NEAR(all.size_error, 0.02, 1e-12);
  EXPECT_NEAR(rank_histogram(outcomes, 20).p_value, 1, 1e-12);
  EXPECT_NEAR(candidate_reliability(outcomes).gap, 0, 1e-12);
  EXPECT_NEAR(kind_reliability(outcomes).gap, 0, 1e-12);
}

TEST(Score, OverconfidenceShows) {
  std::vector<JobOutcome> outcomes = honest(400);
  for (JobOutcome& o : outcomes) {
    o.cdf = o.cdf < 0.5 ? 0.01 : 0.99;
    o.probabilities = {0.99, 0.01};
  }
  EXPECT_EQ(score("all", outcomes).covered_90.hits, 0);
  EXPECT_LT(rank_histogram(outcomes, 20).p_value, 1e-6);
  EXPECT_NEAR(candidate_reliability(outcomes).gap, 0.24, 1e-9);
  EXPECT_EQ(score("all", outcomes).in_90_set.hits, 300);
}

TEST(Score, RefusedJobsAreNotCounted) {
  std::vector<JobOutcome> outcomes = honest(4);
  outcomes[0].refused = "too few samples";
  EXPECT_EQ(score("all", outcomes).jobs, 3);
}

TEST(Deviations, AreReadAndRefusedByWord) {
  EXPECT_EQ(words(parse_deviations("hole law+waves")), "waves+hole law");
  EXPECT_EQ(words(parse_deviations("none")), "none");
  EXPECT_EQ(parse_deviations("all").size(), all_deviations().size());
  EXPECT_THROW(parse_deviations("wave"), Error);
}

/// The furthest that two logs of one crank lie apart in pressure at the same sample [Pa]; infinity: they differ in
/// length.
double furthest_apart(const std::string& one, const std::string& other) {
  const auto pressures = [](const std::string& csv) {
    for (const Channel& channel : parse_log(csv, "made up.csv").channels)
      if (channel.kind == ChannelKind::rail_pressure) return channel.value;
    throw Error("test", "the log has no rail pressure", "make one");
  };
  const std::vector<double> a = pressures(one), b = pressures(other);
  if (a.size() != b.size()) return INFINITY;
  double most = 0;
  for (std::size_t i = 0; i < a.size(); ++i) most = std::max(most, std::abs(a[i] - b[i]));
  return most;
}

// A switch that changes nothing would make its row in the report worthless: somewhere the pressure differs by ten steps
// of the file, which rounding does not make. Most change it by far more; of the pump's ripple the volumes leave next to
// nothing.
TEST(Deviations, EachChangesTheLogOfAHotCrank) {
  const Circuit circuit = inline_six();
  std::uint64_t number = 0;  // a job with a leak through a hole, with overshoot and at a fine rate
  MadeUpJob job;
  do job = draw_job(circuit, shipped_priors(), 1, number++, Deviations{});
  while (job.candidate.healthy() || job.candidate.suspects.front().kind->word != "hole" || job.plans.back().rate < 4);
  for (LogPlan& plan : job.plans) plan.noise = 0, plan.unit = "kPa", plan.step = 0.1, plan.blanks = 0, plan.wild = 0;
  const std::size_t last = job.plans.size() - 1;
  const std::string plain = made_up_csv(circuit, job, last, 1);
  for (const DeviationInfo& info : all_deviations()) {
    job.deviations = {info.deviation};
    EXPECT_GT(furthest_apart(made_up_csv(circuit, job, last, 1), plain), 1e3) << info.word;
  }
}

// Without noise and deviations a finely sampled log is what the model computes at the truth: the generator adds nothing
// of its own.
TEST(MadeUpJob, WithoutNoiseAndDeviationsItsPlateauIsTheModels) {
  const Circuit circuit = inline_six();
  int logs = 0;
  for (std::uint64_t number = 0; number < 20; ++number) {
    MadeUpJob job = draw_job(circuit, shipped_priors(), 1, number, Deviations{});
    for (LogPlan& plan : job.plans)
      plan.noise = 0, plan.unit = "kPa", plan.step = 0.1, plan.blanks = 0, plan.wild = 0, plan.rate = 10,
      plan.jitter = 0, plan.speed_skew = plan.duty_skew = 0;
    const Evidence evidence = made_up_evidence(circuit, job, 1);
    Predictor predictor(circuit, job.candidate, evidence.logs);
    const auto computed = predictor.shown(coordinates_of(job, predictor.unknowns()));
    for (std::size_t i = 0; i < computed.size(); ++i) {
      if (evidence.logs[i].name != "hot" || evidence.logs[i].measured.back() < 1e6) continue;
      ++logs;
      // Speed is written in whole rpm with 1 rpm of noise: 1 % of the pressure; the control module's hunting adds some.
      EXPECT_NEAR(computed[i].back(), evidence.logs[i].measured.back(), 0.03 * evidence.logs[i].measured.back())
          << job.number;
    }
  }
  EXPECT_GE(logs, 5);
}

TEST(MadeUpJob, IsDrawnFromThePriors) {
  const Circuit circuit = inline_six();
  const Priors priors = shipped_priors();
  int holes = 0, below = 0;
  constexpr int n = 400;
  for (std::uint64_t i = 0; i < n; ++i) {
    const MadeUpJob job = draw_job(circuit, priors, 5, i, {});
    if (job.candidate.healthy()) continue;
    holes += job.candidate.suspects.front().kind->word == "hole";
    below += job.unknowns[0].coordinate(job.severity(0)) < 0;
  }
  double weights = 0;
  for (const Candidate& candidate : candidates(circuit, priors))
    if (!candidate.healthy() && candidate.suspects.front().kind->word == "hole") weights += candidate.prior;
  const boost::math::binomial_distribution<> expected(n, weights);
  EXPECT_GE(holes, quantile(expected, 1e-4));
  EXPECT_LE(holes, quantile(complement(expected, 1e-4)));
  EXPECT_NEAR(below, 0.5 * n * (1 - priors.at("healthy")),
              5 * std::sqrt(0.25 * n) + 0.05 * n);  // shares are cut off at 1: a few per cent
}

Json without_time(JobOutcome outcome) {
  outcome.seconds = 0;
  return outcome_json(outcome);
}

TEST(Study, SameOutcomesForAnyNumberOfThreadsAndWhenResumed) {
  FULL_MATCH;
  const Circuit circuit = inline_six();
  const Priors priors = shipped_priors();
  const std::vector<JobOutcome> one = run_study(circuit, priors, {2, 2, {}, 1});
  const std::vector<JobOutcome> resumed = run_study(circuit, priors, {2, 2, {}, 3}, {outcome_of(outcome_json(one[1]))});
  ASSERT_EQ(one.size(), resumed.size());
  for (std::size_t i = 0; i < one.size(); ++i) EXPECT_EQ(without_time(one[i]), without_time(resumed[i]));
}

// Six jobs cannot tell whether 90 % intervals cover 90 %: that takes the hundreds of tests/study/report.md. They tell
// a match that is broken. Limits: what happens once in a thousand runs of a match whose bars are met, some 2 of 6; one
// whose intervals never hold falls below them, one that covers half of the time in 11 of 100 runs.
TEST(Study, SixJobsAreNotAllMissed) {
  FULL_MATCH;
  const std::vector<JobOutcome> outcomes = run_study(inline_six(), shipped_priors(), {6, 11, {}, 0});
  const Score all = score("all", outcomes);
  const auto fewest = [](const Share& share, double p) {
    return quantile(boost::math::binomial_distribution<>(share.of, p), 1e-3);
  };
  EXPECT_GE(all.jobs, 5);
  EXPECT_GE(all.covered_90.hits, fewest(all.covered_90, 0.9));
  EXPECT_GE(all.in_90_set.hits, fewest(all.in_90_set, 0.9));
  EXPECT_GE(all.sized, 1);
}

TEST(Study, ReportNamesTheRunAndDrawsItsFigures) {
  StudyFacts facts;
  facts.circuit = "models/inline_six.json", facts.circuit_print = fingerprint("a"), facts.priors = "models/priors.json",
  facts.priors_print = fingerprint("b");
  facts.settings.seed = 77;
  std::vector<JobOutcome> outcomes = honest(40);
  outcomes[3].refused = "only 3 usable pressures";
  const std::vector<ReportFile> files = study_report(facts, outcomes);
  ASSERT_FALSE(files.empty());
  EXPECT_NE(files.front().text.find("seed 77"), std::string::npos);
  EXPECT_NE(files.front().text.find("only 3 usable pressures"), std::string::npos);
  for (const ReportFile& file : files)
    if (file.name.ends_with(".svg")) {
      EXPECT_NE(files.front().text.find(file.name), std::string::npos) << file.name;
      EXPECT_EQ(file.text.find("nan"), std::string::npos) << file.name;
    }
}

// FNV-1a of "" and "a": the published test vectors (Fowler, Noll & Vo; draft-eastlake-fnv).
TEST(Fingerprint, IsFnv1a) {
  EXPECT_EQ(fingerprint(""), "cbf29ce484222325");
  EXPECT_EQ(fingerprint("a"), "af63dc4c8601ec8c");
}

}  // namespace
}  // namespace railseep
