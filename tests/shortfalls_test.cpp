#include "after/shortfalls.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <random>

#include "full_match.hpp"
#include "made_up_log.hpp"
#include "made_up_match.hpp"
#include "procedure/isolate.hpp"
#include "shipped_circuits.hpp"
#include "words/answer.hpp"

namespace railseep {
namespace {

Priors few() {
  Priors priors = read_priors(source_file("models/priors.json"));
  for (auto& [kind, weight] : priors)
    if (kind != "hole" && kind != "wear (pump)" && kind != "healthy") weight = 0;
  return priors;
}

MatchResult match_of(const MadeUpCrank& crank, const char* fault = "jumper tube 4 seal: hole 0.7 mm") {
  return match(inline_six(),
               {{made_up_log(with_faults(inline_six(), std::vector{parse_fault(fault, inline_six())}), crank)}, {}},
               few());
}

bool told(const std::vector<Shortfall>& all, const std::string& part, bool grave) {
  return std::ranges::any_of(
      all, [&](const Shortfall& one) { return one.missing.find(part) != std::string::npos && one.grave == grave; });
}

// 130 rpm is the least cranking speed of workshop forms (trade).
TEST(Shortfalls, SlowCrankingIsNoEvidenceToActUpon) {
  FULL_MATCH;
  EXPECT_TRUE(told(shortfalls(inline_six(), match_of({.name = "hot", .rpm = 105})), "cranked at", true));
  EXPECT_FALSE(told(shortfalls(inline_six(), match_of({.name = "hot", .rpm = 170})), "cranked at", true));
}

/// A match of cranks in which nothing is wrong: degC and rpm of each.
MatchResult of_logs(const std::vector<std::pair<double, double>>& celsius_and_rpm) {
  MatchResult result;
  result.fits.emplace_back();
  result.fits.front().probability = 1;
  for (const auto& [celsius, turns] : celsius_and_rpm) {
    CrankEvidence log;
    log.name = "crank";
    for (int i = 0; i < 20; ++i) log.time.push_back(0.5 * i), log.measured.push_back(4e6);
    log.duration = 10;
    log.condition.oil_temperature = 273.15 + celsius;
    log.condition.speed = Profile(from_rpm(turns));
    log.duty = Profile(0.6);
    result.logs.push_back(log);
  }
  return result;
}

TEST(Shortfalls, AnAssumedTemperatureIsNotToldAsAFact) {
  MatchResult result = of_logs({{40, 170}});
  EXPECT_TRUE(told(shortfalls(inline_six(), result), "all logs are from cold oil", false));
  result.logs.front().temperature_doubt = 25;  // nobody measured it
  EXPECT_FALSE(told(shortfalls(inline_six(), result), "all logs are from", false));
  EXPECT_TRUE(told(shortfalls(inline_six(), result), "nobody measured the oil temperature", false));
}

// Below a factor of 3 they count as alike (look_alike_factor); 20 to 1 is told apart.
TEST(Shortfalls, OneTemperatureIsNotSaidToTellNothingWhereItTells) {
  for (const auto& [hole, alike] : {std::pair(0.5, true), {0.95, false}}) {
    MatchResult result = of_logs({{90, 170}});
    result.fits = {fit(suspect(inline_six(), {"jumper tube 4 seal"}, "hole"), 6e-4, hole),
                   fit(suspect(inline_six(), {"high-pressure pump"}, "wear"), 16, 1 - hole)};
    const std::vector<Shortfall> all = shortfalls(inline_six(), result);
    const auto one = std::ranges::find_if(
        all, [](const Shortfall& shortfall) { return shortfall.missing.starts_with("all logs are from"); });
    ASSERT_NE(one, all.end());
    EXPECT_EQ(one->cost.find("cannot tell them apart") != std::string::npos, alike) << one->cost;
  }
}

TEST(Shortfalls, AnEngineThatFiresIsNotToldToCrankOn) {
  MatchResult result = of_logs({{90, 170}});
  CrankEvidence& log = result.logs.front();
  log.time.resize(8), log.measured.resize(8), log.duration = 2;
  EXPECT_TRUE(told(shortfalls(inline_six(), result), "only 8 pressures", false));
  log.fires = 2.1;
  for (const Shortfall& one : shortfalls(inline_six(), result))
    EXPECT_EQ(one.mend.find("crank at least"), std::string::npos) << one.missing;
  EXPECT_TRUE(told(shortfalls(inline_six(), result), "before it fires", false));
}

// A pressure that jumps between 3 and 20 MPa every two seconds, at a steady speed and duty, is no crank of any engine.
TEST(Shortfalls, AFitThatExplainsNothingGivesNoSize) {
  CrankEvidence log = made_up_log(inline_six(), {.name = "hot", .rate = 10});
  for (std::size_t i = 0; i < log.measured.size(); ++i) log.measured[i] = std::fmod(log.time[i], 4) < 2 ? 3e6 : 2e7;
  NoiseModel noise;  // as of a machine whose overshoots are known
  noise.overshoot = noise.overshoot_rate = 0;
  weigh_samples(log, noise, 3e4);
  const MatchResult result = match(inline_six(), {{log}, {}}, few());
  EXPECT_TRUE(result.unexplained) << result.mean_square;
  for (const FaultFit& fit : result.fits) {
    EXPECT_NEAR(fit.probability, fit.candidate.prior, 1e-9) << fit.candidate.title();
    for (std::size_t i = 0; i < fit.severities.size(); ++i) {
      const Unknown prior = severity_unknown(fit.candidate.suspects[i]);
      EXPECT_LE(fit.severities[i].low, 1.02 * prior.value(-1.645)) << fit.candidate.title();
      EXPECT_GE(fit.severities[i].high, 0.98 * prior.value(1.645)) << fit.candidate.title();
    }
  }
  for (const std::string& line : in_short(inline_six(), result, {}, ShownUnits{}))
    EXPECT_EQ(line.find(" mm"), std::string::npos) << line;
}

// Three standard deviations (assumed): the pump of 16 times the clearance makes some 400 psi with the rails plugged.
TEST(Shortfalls, AReadingThatTheFirstCandidateDoesNotExplainIsToldLoudly) {
  MatchResult result = of_logs({{90, 170}});
  result.fits.front() = fit(suspect(inline_six(), {"high-pressure pump"}, "wear"), 16, 1);
  Observations seen;
  Reading& reading = seen.readings.emplace_back();
  reading.name = "isolation";
  reading.situation.oil_temperature = 363.15;
  reading.situation.speed = from_rpm(170);
  reading.situation.block = both_rails;
  reading.value = 1900 * 6894.757293168;
  EXPECT_TRUE(told(shortfalls(inline_six(), result, seen), "1900 psi", true));
  const Circuit worn = with_faults(inline_six(), result.fits.front().faults());
  Procedures procedures(worn);
  reading.value = predicted(reading, procedures);
  EXPECT_FALSE(told(shortfalls(inline_six(), result, seen), "isolation", true));
}

// 130 rpm is the least cranking speed of workshop forms (trade).
TEST(Shortfalls, SpeedIsSlowBelowThatOfTheWorkshopForms) {
  EXPECT_TRUE(told(shortfalls(inline_six(), of_logs({{90, 125}})), "cranked at", true));
  EXPECT_FALSE(told(shortfalls(inline_six(), of_logs({{90, 135}})), "cranked at", true));
}

TEST(Shortfalls, TwoTemperaturesAreFarApart) {
  EXPECT_TRUE(told(shortfalls(inline_six(), of_logs({{90, 170}, {70, 170}})), "all logs are from", false));
  EXPECT_FALSE(told(shortfalls(inline_six(), of_logs({{90, 170}, {50, 170}})), "all logs are from", false));
}

TEST(Shortfalls, ASensorThatMayWellBeWrongIsTold) {
  for (const auto& [probability, is_told] : {std::pair(0.5, true), {0.02, false}}) {
    MatchResult result = of_logs({{90, 170}, {20, 170}});
    FaultFit biased;
    for (const PossibleFault& fault : possible_faults(inline_six()))
      if (fault.kind->applies_to == Sensor::kind && fault.kind->word == "bias")
        biased.candidate.suspects = {Suspect{fault.kind, {fault}}};
    biased.probability = probability;
    result.fits.front().probability = 1 - probability;
    result.fits.push_back(biased);
    EXPECT_EQ(told(shortfalls(inline_six(), result), "sensor itself is in doubt", false), is_told) << probability;
  }
}

TEST(Shortfalls, OneTemperatureAndFewSamplesAreTold) {
  FULL_MATCH;
  const std::vector<Shortfall> all = shortfalls(inline_six(), match_of({.name = "hot", .rate = 1, .seconds = 6}));
  EXPECT_TRUE(told(all, "hot oil", false));
  EXPECT_TRUE(told(all, "only 7 pressures", false));
}

TEST(Shortfalls, ATemperatureThatNobodyMeasuredIsToldWithWhatItCosts) {
  FULL_MATCH;
  CrankEvidence log =
      made_up_log(with_faults(inline_six(), std::vector{parse_fault("high-pressure pump: wear 14 x", inline_six())}),
                  {.name = "warm", .celsius = 92});
  log.temperature_doubt = 25;
  const MatchResult result = match(inline_six(), {{log}, {}}, few());
  const std::vector<Shortfall> all = shortfalls(inline_six(), result);
  EXPECT_TRUE(told(all, "nobody measured the oil temperature", false));
  // Wear goes with viscosity, which is what an unknown temperature leaves open: it must be what narrows the size most.
  const auto wear =
      std::ranges::find_if(result.fits, [](const FaultFit& fit) { return fit.candidate.title().starts_with("wear"); });
  ASSERT_NE(wear, result.fits.end());
  EXPECT_NE(narrowings(*wear).front().known.find("oil temperature"), std::string::npos)
      << narrowings(*wear).front().known;
}

// Conditioning of a normal distribution: C_ss - C_sg*C_gg^-1*C_gs. Source: Bishop, Pattern Recognition and Machine
// Learning (2006), eq. 2.82 (from memory); here against a sum over samples that are kept near one value of the known
// number.
TEST(Shortfalls, NarrowingIsThatOfAConditionalNormal) {
  FaultFit fit;
  fit.candidate.suspects.resize(1);
  fit.unknowns = {{Unknown::Where::severity, "severity", 0, 1, false, -9, 9, 0, ""},
                  {Unknown::Where::delay, "known", 0, 1, false, -9, 9, 0, ""}};
  fit.covariance = Eigen::MatrixXd{{1.0, 0.8}, {0.8, 2.0}};
  const Eigen::MatrixXd factor = fit.covariance.llt().matrixL();
  std::mt19937 random(4);
  std::normal_distribution<double> gauss;
  double n = 0, sum = 0, squares = 0;
  for (int i = 0; i < 400000; ++i) {
    const Eigen::Vector2d draw = factor * Eigen::Vector2d(gauss(random), gauss(random));
    if (std::abs(draw[1] - 0.5) > 0.05) continue;
    n += 1, sum += draw[0], squares += draw[0] * draw[0];
  }
  const double deviation = std::sqrt(squares / n - sum * sum / (n * n));
  EXPECT_NEAR(narrowings(fit).front().share, deviation, 0.02);
}

// Two faults at once, one that pulls the pressure down and a sensor that reads low beside it: neither alone explains
// hot, cold and fast alike.
TEST(Pairs, AreTriedWhenNoSingleFaultExplainsTheLogs) {
  FULL_MATCH;
  const Circuit faulty =
      with_faults(inline_six(), std::vector{parse_fault("high-pressure pump: wear 9 x", inline_six()),
                                            parse_fault("jumper tube 4 seal: hole 0.55 mm", inline_six())});
  const Evidence evidence{{made_up_log(faulty, {.name = "cold", .celsius = 12, .rpm = 150, .rate = 6, .seed = 1}),
                           made_up_log(faulty, {.name = "hot", .celsius = 92, .rpm = 175, .rate = 6, .seed = 2}),
                           made_up_log(faulty, {.name = "warm fast", .celsius = 60, .rpm = 210, .rate = 6, .seed = 3})},
                          {}};
  MatchOptions options;
  options.pairs = Pairs::always;
  const MatchResult result = match(inline_six(), evidence, few(), options);
  EXPECT_TRUE(result.pairs_tried);
  const auto pair =
      std::ranges::find_if(result.fits, [](const FaultFit& fit) { return fit.candidate.suspects.size() == 2; });
  ASSERT_NE(pair, result.fits.end());
  // The pair explains what no single one does: its evidence before the priors is the highest.
  for (const FaultFit& fit : result.fits)
    if (fit.candidate.suspects.size() < 2) {
      EXPECT_GT(pair->log_evidence, fit.log_evidence) << fit.candidate.title();
    }
  for (std::size_t i = 0; i < 2; ++i) {
    const double truth = pair->candidate.suspects[i].kind->word == "wear" ? 9 : 0.55e-3;
    EXPECT_LT(pair->severities[i].low, truth);
    EXPECT_GT(pair->severities[i].high, truth);
  }
  double sum = 0;
  for (const FaultFit& fit : result.fits) sum += fit.probability;
  EXPECT_NEAR(sum, 1, 1e-12);
}

// A pump worn beyond doubt by its logs, and a seal that somebody saw cut and told of in words: a hole there does not
// lose more when hot, and wear does not cut a seal.
TEST(Pairs, AreTriedWhereWhatWasSeenDoesNotExplainTheLogs) {
  FULL_MATCH;
  const Circuit worn = with_faults(inline_six(), {{parse_fault("high-pressure pump: wear 14 x", inline_six())}});
  Evidence evidence{{made_up_log(worn, {.name = "cold", .celsius = 5, .rpm = 150, .rate = 6, .seed = 1}),
                     made_up_log(worn, {.name = "hot", .celsius = 92, .rpm = 175, .rate = 6, .seed = 2})},
                    {}};
  const MatchResult unseen = match(inline_six(), evidence, few());
  EXPECT_FALSE(unseen.at_odds);
  EXPECT_FALSE(unseen.pairs_tried);
  evidence.observations.checks.push_back({"seen", true, "jumper tube 4 seal", {}, true});
  const MatchResult seen = match(inline_six(), evidence, few());
  EXPECT_TRUE(seen.at_odds);
  EXPECT_TRUE(seen.pairs_tried);
  double both = 0;
  for (const FaultFit& fit : seen.fits)
    if (fit.candidate.suspects.size() == 2) both += fit.probability;
  EXPECT_GT(both, 0.5);
  EXPECT_EQ(second_fault_words(seen).find("No second fault is needed"), std::string::npos);
}

TEST(Pairs, AreLeftAloneWhereOneFaultWillDo) { EXPECT_FALSE(match_of({.name = "hot"}).pairs_tried); }

}  // namespace
}  // namespace railseep
