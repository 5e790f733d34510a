#include "evidence/condense_log.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <numeric>
#include <random>

#include "full_match.hpp"
#include "made_up_log.hpp"
#include "match/candidate_fit.hpp"

namespace railseep {
namespace {

constexpr double noise = 3e4;  // of the made-up samples [Pa]

using Curve = std::function<double(double)>;

double constant(double) { return 2e6; }

/// Nothing for two seconds, a rise within 0.15 s, an overshoot that leaks off.
double rising(double t) {
  const double since = t - 2;
  if (since < 0) return 0;
  if (since < 0.15) return since / 0.15 * 4e6;
  return 2e6 + 2e6 * std::exp(-(since - 0.15) / 1.2);
}

double hunting(double t) { return 2e6 + 3e5 * std::sin(2 * std::numbers::pi * t / 1.3); }

/// Samples of a curve at an even rate, with noise. @param held a tool that asks so seldom repeats what it knows [s]
CrankEvidence log_of(const Curve& curve, double seconds, double rate, double held = 0) {
  std::mt19937 random(3);
  std::normal_distribution<double> gauss;
  CrankEvidence log;
  std::vector<double> duty, speed;
  double until = 0;
  for (int i = 0; i < static_cast<int>(seconds * rate); ++i) {
    const double t = i / rate;
    const bool asked = log.measured.empty() || t >= until - 1e-9;
    if (asked) until = t + held;
    log.time.push_back(t);
    log.measured.push_back(asked ? curve(t) + noise * gauss(random) : log.measured.back());
    duty.push_back(0.5 + (t > 0.37 * seconds ? 0.2 : 0) + 0.001 * gauss(random));
    speed.push_back(std::min(1.0, t / 0.4) * (18 + 0.1 * gauss(random)));
  }
  log.duty = Profile(log.time, duty);
  log.condition.speed = Profile(log.time, speed);
  log.sample_interval = 1 / rate;
  log.duration = log.time.back() + 1e-9;
  return log;
}

CrankEvidence condensed(CrankEvidence log) {
  condense(log, NoiseModel{}, 0);
  return log;
}

/// Every mean lies at the curve, within what its own numbers grant: 4 deviations of its noise, the bend that 3
/// deviations of noise may hide (the middle of three thirds against the others has sqrt(3*1.5) times the noise of the
/// whole mean), the bend that the tolerance lets pass, the bend that is told.
void expect_means_on(const Curve& curve, const CrankEvidence& log) {
  ASSERT_EQ(log.averages.samples.size(), log.time.size());
  const double granted = 0.3 * NoiseModel{}.noise, deviations = 4 + 3 * std::sqrt(4.5);
  for (std::size_t i = 0; i < log.time.size(); ++i)
    EXPECT_LT(std::abs(log.measured[i] - curve(log.time[i])),
              deviations * noise / std::sqrt(log.averages.samples[i]) + granted + log.averages.bend[i])
        << log.time[i];
}

TEST(Condense, LeavesLogsOfFewSamplesAsTheyAre) {
  const CrankEvidence log = log_of(rising, 15, 10), after = condensed(log);
  ASSERT_EQ(log.time.size(), samples_kept);
  EXPECT_EQ(after.time, log.time);
  EXPECT_EQ(after.measured, log.measured);
  EXPECT_EQ(after.duty->corners(), log.duty->corners());
  EXPECT_TRUE(after.averages.empty());
  EXPECT_TRUE(after.notes.empty());
}

// However many samples there are and whatever they do, no more is left than can be matched quickly; and a note says so.
TEST(Condense, NeverLeavesMoreThanCanBeMatched) {
  for (const Curve& curve : {Curve(constant), Curve(rising), Curve(hunting)})
    for (const auto& [seconds, rate] : {std::pair(600.0, 100.0), std::pair(600.0, 4.0), std::pair(20.0, 100.0),
                                        std::pair(1.0, 1000.0), std::pair(40.0, 4.0)}) {
      const CrankEvidence log = condensed(log_of(curve, seconds, rate));
      EXPECT_LE(log.time.size(), stretches_kept) << seconds << " " << rate;
      EXPECT_LE(log.duty->corners().size(), 2 * stretches_kept + 2);
      EXPECT_LE(log.condition.speed.corners().size(), 2 * stretches_kept + 2);
      EXPECT_TRUE(std::ranges::is_sorted(log.time, std::less_equal<>()));
      ASSERT_EQ(log.notes.size(), 1) << seconds << " " << rate;
      EXPECT_NE(log.notes.front().find(std::to_string(static_cast<int>(seconds * rate)) +
                                       " pressures are averaged to " + std::to_string(log.time.size())),
                std::string::npos)
          << log.notes.front();
    }
}

TEST(Condense, MeansLieOnTheCurve) {
  for (const auto& [seconds, rate] :
       {std::pair(600.0, 100.0), std::pair(600.0, 4.0), std::pair(20.0, 100.0), std::pair(60.0, 50.0)}) {
    expect_means_on(constant, condensed(log_of(constant, seconds, rate)));
    expect_means_on(rising, condensed(log_of(rising, seconds, rate)));
    if (seconds < 100)
      expect_means_on(hunting,
                      condensed(log_of(hunting, seconds, rate)));  // in ten minutes a stretch is longer than a swing
  }
}

// A rise of 0.15 s in ten minutes stays as sharp as it was sampled: several means stand on it, none is bent by more
// than a sample's noise, and where the means go through half way is when the curve does.
TEST(Condense, KeepsTheTimeOfARise) {
  const CrankEvidence log = condensed(log_of(rising, 600, 100));
  const auto on_rise = std::ranges::count_if(log.time, [](double t) { return t > 2 && t < 2.15; });
  EXPECT_GE(on_rise, 3);
  for (std::size_t i = 1; i < log.time.size(); ++i) {
    if (log.measured[i - 1] >= 2e6 || log.measured[i] < 2e6 || log.time[i] > 3) continue;
    const double at = log.time[i - 1] + (2e6 - log.measured[i - 1]) / (log.measured[i] - log.measured[i - 1]) *
                                            (log.time[i] - log.time[i - 1]);
    EXPECT_NEAR(at, 2.075, 0.01);
  }
}

// One sample in fifty shows anything: the means do not feel them, and how many were left out is told. On a steep rise
// one may stay, as a sample of its own that the match judges.
TEST(Condense, WildSamplesDoNotPoisonMeans) {
  CrankEvidence log = log_of(rising, 600, 100);
  std::mt19937 random(8);
  int wild = 0;
  for (double& value : log.measured)
    if (random() % 50 == 0) value = 2e6 + 1.2e6 * (random() % 2 ? 1.0 : -1.0) + 3e6 * (random() % 3), ++wild;
  const CrankEvidence after = condensed(log);
  for (std::size_t i = 0; i < after.time.size(); ++i) {
    if (after.time[i] > 2 && after.time[i] < 2.2) continue;
    EXPECT_LT(std::abs(after.measured[i] - rising(after.time[i])), 2 * noise) << after.time[i];
  }
  ASSERT_EQ(after.notes.size(), 2);
  const int left_out = std::stoi(after.notes.front());
  EXPECT_NEAR(left_out, wild, 0.05 * wild) << after.notes.front();
}

// A tool that asks the control module ten times a second and writes a row a hundred times a second knows no more than
// ten rows a second tell.
TEST(Condense, RepeatedValuesCountOnce) {
  const auto samples = [](const CrankEvidence& log) {
    return std::accumulate(log.averages.samples.begin(), log.averages.samples.end(), 0.0);
  };
  EXPECT_NEAR(samples(condensed(log_of(constant, 60, 100))), 6000, 30);
  EXPECT_NEAR(samples(condensed(log_of(constant, 60, 100, 0.1))), 600, static_cast<double>(stretches_kept));
}

// Nothing was measured in a dropout, so no mean stands in it.
TEST(Condense, DropoutsStayEmpty) {
  CrankEvidence log = log_of(constant, 100, 100);
  const auto from = std::ranges::lower_bound(log.time, 30.0) - log.time.begin(),
             to = std::ranges::lower_bound(log.time, 50.0) - log.time.begin();
  log.time.erase(log.time.begin() + from, log.time.begin() + to),
      log.measured.erase(log.measured.begin() + from, log.measured.begin() + to);
  const CrankEvidence after = condensed(log);
  EXPECT_TRUE(std::ranges::none_of(after.time, [](double t) { return t > 30 && t < 50; }));
  EXPECT_TRUE(std::ranges::any_of(after.time, [](double t) { return t > 28 && t < 30; }));
}

// The solver stops at each corner of a signal that drives the model: few are left, and none of them moves the signal by
// more than what is granted.
TEST(Condense, DrivingSignalsKeepTheirSteps) {
  const CrankEvidence log = condensed(log_of(constant, 600, 100));
  EXPECT_LT(log.duty->corners().size(), 20);
  EXPECT_LT(log.condition.speed.corners().size(), 20);
  for (double t = 0.2; t < 600; t += 0.05) {
    if (std::abs(t - 222) > 0.05) {
      EXPECT_NEAR(log.duty->at(t), t > 222 ? 0.7 : 0.5, 0.01) << t;
    }
    EXPECT_NEAR(log.condition.speed.at(t), 18 * std::min(1.0, t / 0.4), (std::abs(t - 0.4) < 0.1 ? 0.06 : 0.03) * 18)
        << t;  // its corner is cut off
  }
}

/// The severity of a hole, from a log of one engine swept so often.
Severity severity_at(double rate, std::size_t* samples) {
  const Circuit circuit = read_circuit(source_file("models/inline_six.json"));
  const Circuit faulty = with_faults(circuit, std::vector{parse_fault("sensor port seal: hole 0.6 mm", circuit)});
  const Evidence evidence{{made_up_log(faulty, {.name = "hot", .rate = rate, .seconds = 45, .seed = 5})}};
  *samples = evidence.logs.front().time.size();
  const std::vector<Candidate> all = candidates(circuit, read_priors(source_file("models/priors.json")));
  CandidateFit fit(circuit, evidence, *std::ranges::find_if(all, [](const Candidate& candidate) {
                     return candidate.title() == "hole at sensor port seal";
                   }));
  fit.scan_severities();
  fit.search_widened();
  fit.search();
  fit.weigh();
  return fit.finish().severities.front();
}

// One engine, logged a hundred times a second and four times.
TEST(Condense, OfA100HzLogTheAnswerLiesWithinThatOf4Hz) {
  FULL_MATCH;
  std::size_t many = 0, few = 0;
  const Severity fast = severity_at(100, &many), slow = severity_at(4, &few);
  EXPECT_LE(many, stretches_kept);
  EXPECT_GT(fast.best, slow.low);
  EXPECT_LT(fast.best, slow.high);
  EXPECT_GT(fast.high, 0.6e-3);
  EXPECT_LT(fast.low, 0.6e-3);
  EXPECT_LT(fast.high - fast.low, 1.5 * (slow.high - slow.low)) << "more samples do not tell less";
}

}  // namespace
}  // namespace railseep
