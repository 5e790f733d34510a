// Numbers by which the match decides and doubts: both sides of each limit, and each doubt as it is stated.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <numeric>

#include "after/shortfalls.hpp"
#include "evidence/reading.hpp"
#include "hypothesis/fault_flow.hpp"
#include "made_up_match.hpp"
#include "match/goodness_of_fit.hpp"
#include "match/look_alikes.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

// 99 % points of chi-square: 23.209 for 10, 76.154 for 50, 135.807 for 100 degrees of freedom (any table of statistics;
// from memory).
TEST(BadlyExplained, BeginsAtTheNinetyNinePerCentPointOfChiSquare) {
  for (const auto& [samples, point] : {std::pair{10, 23.209}, {50, 76.154}, {100, 135.807}}) {
    CrankEvidence log;
    log.time.assign(static_cast<std::size_t>(samples), 0.0);
    FaultFit fit;
    fit.reduced_chi_square = (point - 0.01) / samples;
    EXPECT_FALSE(badly_explained(fit, {log})) << samples;
    fit.reduced_chi_square = (point + 0.01) / samples;
    EXPECT_TRUE(badly_explained(fit, {log})) << samples;
  }
}

// Tolerances three times as wide make the same deviations count a ninth.
TEST(ExplainsNothing, BeginsWhereThreeTimesTheToleranceIsNotEnough) {
  CrankEvidence log;
  log.time.assign(50, 0.0);
  FaultFit fit;
  fit.reduced_chi_square = 9 * (76.154 - 0.01) / 50;
  EXPECT_FALSE(explains_nothing(fit, {log}));
  fit.reduced_chi_square = 9 * (76.154 + 0.01) / 50;
  EXPECT_TRUE(explains_nothing(fit, {log}));
}

TEST(LookAlikes, AreThoseWithinAFactorOfThree) {
  const Circuit circuit = valley_v8();
  const auto sets = [&](double factor) {
    FaultFit hole = fit(suspect(circuit, {"left rail front end plug"}, "hole"), 5e-4, 0.6),
             wear = fit(suspect(circuit, {"high-pressure pump"}, "wear"), 10, 0.4);
    hole.log_evidence = -20, wear.log_evidence = -20 - std::log(factor);
    return look_alikes(circuit, {hole, wear});
  };
  for (const double factor : {1.0, 2.0, 2.95}) {
    ASSERT_EQ(sets(factor).size(), 1u) << factor;
    EXPECT_EQ(sets(factor).front().fits, (std::vector<std::size_t>{0, 1})) << factor;
  }
  for (const double factor : {3.05, 10.0, 25.0}) EXPECT_TRUE(sets(factor).empty()) << factor;
}

// A second fault is taken for a tenth as likely as the first alone: what both kinds of candidates hold before anything
// is known must add up so.
TEST(Pairs, HoldATenthOfThePriorBesideTheSingleFaults) {
  const Circuit circuit = inline_six();
  Priors priors = read_priors(models_folder() + "priors.json");
  for (auto& [kind, weight] : priors)
    if (kind != "wear (pump)" && kind != "bias (sensor)" && kind != "healthy") weight = 0;
  Evidence seen;
  seen.observations.checks.push_back({"batteries", false, "", {}});
  MatchOptions options;
  options.pairs = Pairs::always;
  double single = 0, two = 0;
  for (const FaultFit& one : match(circuit, seen, priors, options).fits)
    (one.candidate.suspects.size() == 2 ? two : single) += one.candidate.prior;
  EXPECT_NEAR(single, 0.9, 1e-9);
  EXPECT_NEAR(two, 0.1, 1e-9);
}

/// A crank at a steady pressure, ten samples a second for so long.
CrankEvidence steady_log(double pressure, double seconds, NoiseModel noise = {}) {
  CrankEvidence log;
  log.name = "hot", log.sample_interval = 0.1, log.condition.speed = Profile(from_rpm(180));
  for (int i = 0; i <= static_cast<int>(seconds * 10); ++i)
    log.time.push_back(0.1 * i), log.measured.push_back(pressure);
  weigh_samples(log, noise, 0);
  return log;
}

// At a residual of 0 the normal density is at its peak: what is left of -ln p is what the usual width (70 of 100 logs)
// and good samples (99 of 100) cost.
TEST(NoiseOfALog, SeventyLogsInAHundredAreAsUsualAndOneSampleInAHundredIsWild) {
  const CrankEvidence log = steady_log(5e6, 4);
  const auto n = static_cast<Eigen::Index>(log.time.size());
  EXPECT_NEAR(tolerances_of({log}).loss(Eigen::VectorXd::Zero(n)),
              -std::log(0.7) - static_cast<double>(n) * std::log(0.99), 1e-9);
}

/// What the model is off all along, in usual deviations of it: the width that explains it best.
double width_for(double deviations) {
  const CrankEvidence log = steady_log(5e6, 4);
  const double usual = std::hypot(3e4, 0.03 * 5e6);
  std::vector<double> computed = log.measured;
  for (double& value : computed) value += deviations * usual;
  const Weighing weighing = tolerances_of({log}).weigh(log.whiten(computed));
  EXPECT_TRUE(weighing.wild.empty()) << deviations;
  return NoiseModel{}.off[weighing.widths.front()].times;
}

// 70, 20, 7 and 3 of 100 logs are off 1, 1.7, 3 and 5 times as far as usual (assumed): a model that is off by little is
// as usual, one that is off by 25 usual deviations is taken for the widest, and none on the way for a narrower one than
// before.
TEST(NoiseOfALog, IsWiderTheFurtherTheModelIsOff) {
  EXPECT_EQ(width_for(0.3), 1);
  EXPECT_EQ(width_for(25), 5);
  double before = 0;
  for (double deviations = 0; deviations < 25; deviations += 0.5) {
    const double now = width_for(deviations);
    EXPECT_GE(now, before) << deviations;
    before = now;
  }
  double chances = 0, mean_square = 0;
  for (const ModelErrorScale& off : NoiseModel{}.off)
    chances += off.chance, mean_square += off.chance * off.times * off.times;
  EXPECT_NEAR(chances, 1, 1e-12);
  EXPECT_NEAR(mean_square, 2.658, 1e-9);  // 0.7 + 0.2*2.89 + 0.07*9 + 0.03*25
}

// One wild sample among good ones counts the odds of 99 to 1 and the width of its own doubt, and hardly grows with how
// wild it is.
TEST(NoiseOfALog, AWildSampleCostsItsOddsHoweverWildItIs) {
  const CrankEvidence log = steady_log(5e6, 4);
  const Tolerances tolerances = tolerances_of({log});
  const auto loss = [&](double off) {
    std::vector<double> computed = log.measured;
    computed[20] += off;
    return tolerances.weigh(log.whiten(computed));
  };
  EXPECT_TRUE(loss(8e4).wild.empty());
  EXPECT_EQ(loss(8e5).wild, std::vector<Eigen::Index>{20});
  EXPECT_NEAR(loss(8e5).loss, loss(1.6e6).loss, 0.2);
  EXPECT_GT(loss(8e5).loss - loss(0).loss, std::log(99.0));
}

// SAE J300 gives a 40 grade 12.5 to 16.3 mm2/s at 100 degC, taken for +-1.6 standard deviations; sensor: 2 % of gain
// and 0.05 MPa of zero (assumed).
TEST(Unknowns, OilGradeAndSensorAreDoubtedAsStated) {
  const auto find = [&](Unknown::Where where) {
    for (const Unknown& unknown : nuisances(inline_six(), {}))
      if (unknown.where == where) return unknown;
    throw Error("test", "there is no such unknown", "name one");
  };
  const Unknown oil = find(Unknown::Where::oil_thickness), gain = find(Unknown::Where::sensor_gain),
                zero = find(Unknown::Where::sensor_bias);
  EXPECT_NEAR(oil.value(1.6) / oil.value(-1.6), 16.3 / 12.5, 0.03);
  EXPECT_NEAR(oil.value(0), 1, 1e-12);
  EXPECT_NEAR(gain.value(1), 1.02, 3e-4);
  EXPECT_NEAR(gain.value(-1), 0.98, 3e-4);
  EXPECT_NEAR(zero.value(1), 5e4, 1e-6);
  EXPECT_NEAR(zero.value(-2), -1e5, 1e-6);
}

/// A log that holds this column of temperatures beside pressure and speed.
CrankEvidence with_temperature(const std::string& header) {
  std::string csv = "time (s),icp (kPa),rpm" + (header.empty() ? "" : "," + header) + "\n";
  for (int i = 0; i < 20; ++i)
    csv += std::to_string(0.5 * i) + "," + std::to_string(4000 + 7 * (i % 3)) + ",170" + (header.empty() ? "" : ",88") +
           "\n";
  return crank_evidence(parse_log(csv, "hot.csv"), {"hot", "", {}, {}, 10.5, {}});
}

// Measured oil is within 3 K of what runs in the passages; coolant stands in for it with three times as much doubt,
// nothing at all with 25 K (assumed).
TEST(OilTemperature, IsDoubtedByWhatItWasReadFrom) {
  EXPECT_NEAR(with_temperature("eot (degC)").temperature_doubt, 3, 1e-12);
  EXPECT_NEAR(with_temperature("coolant temperature (degC)").temperature_doubt, 9, 1e-12);
  EXPECT_NEAR(with_temperature("coolant temperature (degC)").condition.oil_temperature, 361.15, 1e-9);
  EXPECT_NEAR(with_temperature("").temperature_doubt, 25, 1e-12);
}

// Workshop figure: below 9.5 V while cranking the module may lose its place (trade).
TEST(Shortfalls, WeakBatteriesAreToldBelowNineAndAHalfVoltsAtAnySpeed) {
  const auto told = [](double volts, double turns) {
    MatchResult result = matched({nothing_wrong(1)}, turns);
    result.logs.front().condition.battery = Profile(volts);
    const std::vector<Shortfall> all = shortfalls(inline_six(), result);
    return std::ranges::any_of(
        all, [](const Shortfall& one) { return one.grave && one.missing.find("cranked at") != std::string::npos; });
  };
  for (const double volts : {6.0, 8.0, 9.0, 9.4}) EXPECT_TRUE(told(volts, 180)) << volts;
  for (const double volts : {9.6, 10.5, 12.0}) EXPECT_FALSE(told(volts, 180)) << volts;
  EXPECT_TRUE(told(10.5, 127));  // 130 rpm is the least cranking speed of workshop forms (trade)
  EXPECT_FALSE(told(10.5, 133));
}

// A normal error: one deviation aside the density is exp(-1/2) of that in the middle, two aside exp(-2). Besides, 3 %
// of readings are simply wrong and fall anywhere in the range. The deviation is what the reader says, with the doubt
// about the model that reading_errors() states.
TEST(Reading, OneDeviationAsideIsLessLikelyByTheRootOfE) {
  const Circuit circuit = valley_v8();
  Procedures procedures(circuit);
  Situation rest, hot;
  rest.done = Situation::Done::key_on, hot.oil_temperature = 363.15;
  for (const Reading& reading :
       {Reading{"battery", ChannelKind::battery_voltage, 0, 0.5, Reading::Part::plateau, 0, true, rest},
        Reading{"battery", ChannelKind::battery_voltage, 0, {}, Reading::Part::plateau, 0, true, rest},
        Reading{"hot plateau", ChannelKind::rail_pressure, 0, 4e5, Reading::Part::plateau, 0, true, hot},
        Reading{"hot plateau", ChannelKind::rail_pressure, 0, {}, Reading::Part::plateau, 0, true, hot}}) {
    const double computed = predicted(reading, procedures);
    const ReadingErrors& error = *reading_errors(reading.kind);
    const double deviation =
        std::hypot(error.offset, error.share * computed, reading.tolerance.value_or(error.tolerance));
    const auto density = [&](double aside) {
      Reading at = reading;
      at.value = computed + aside * deviation;
      return std::exp(log_likelihood(at, procedures)) - 0.03 / error.range;
    };
    EXPECT_NEAR(density(0), 0.97 / (deviation * std::sqrt(2 * std::numbers::pi)), 1e-9 * density(0)) << reading.name;
    for (const double aside : {-2.0, -1.0, 1.0, 2.0})
      EXPECT_NEAR(density(aside) / density(0), std::exp(-0.5 * aside * aside), 1e-9) << reading.name << " " << aside;
  }
}

// Oil that a leak costs is stated at 3.5 MPa: in a crank the hole itself passes as much, by the root of the pressure it
// has (Torricelli).
TEST(FaultFlow, IsWhatTheHolePassesInACrank) {
  const Circuit circuit = inline_six();
  const MatchResult result = matched({fit(suspect(circuit, {"jumper tube 4 seal"}, "hole"), 7e-4, 1)});
  const Circuit leaking = with_faults(circuit, result.fits.front().faults());
  Condition hot = result.logs.front().condition;
  const Trace trace = crank(leaking, hot).trace;
  const Link& leak = leaking.links.back();
  const double pressure = plateau(trace, leaking.nodes[static_cast<std::size_t>(leak.from)].name + " pressure"),
               flow = plateau(trace, leak.name + " flow");
  ASSERT_GT(pressure, 1e6);
  EXPECT_NEAR(*fault_flow(circuit, result.logs, result.fits.front()) / (flow * std::sqrt(3.5e6 / pressure)), 1, 0.01);
}

}  // namespace
}  // namespace railseep
