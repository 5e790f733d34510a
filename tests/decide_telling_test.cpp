// What would tell apart the members of a set of look-alikes: on forecasts made by hand against closed forms, and on
// engines against what the trade says.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "decide/telling.hpp"
#include "made_up_log.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

const Costs& shipped_costs() {
  static const Costs shipped = read_costs(models_folder() + "costs.json");
  return shipped;
}

double entropy_of_two(double p) { return -p * std::log2(p) - (1 - p) * std::log2(1 - p); }

/// Two look-alikes of even probability behind different covers, and a third candidate outside the set that is likelier
/// than both.
struct Three {
  MatchResult result;
  Belief belief;
  std::vector<Forecast> forecasts;

  Three() {
    result.fits.resize(3);
    const std::vector<PossibleFault> possible = possible_faults(valley_v8());
    for (FaultFit& fit : result.fits) fit.candidate.suspects = {Suspect{possible.front().kind, {possible.front()}}};
    result.sets = {{{0, 1}, "by the test's will"}};
    const double probability[] = {0.2, 0.2, 0.6};
    for (std::size_t i = 0; i < 3; ++i) {
      belief.hypotheses.push_back({i, result.fits[i].candidate, {static_cast<int>(i)}, probability[i], false});
      belief.possibilities.push_back({i, {}, 1, 0});
    }
  }

  /// Outcome "yes" with this probability for each of the three.
  void offer(const std::string& name, double minutes, double first, double second, double outside) {
    Forecast forecast;
    forecast.check.id = forecast.check.name = name;
    forecast.check.time = 60 * minutes;
    forecast.likelihood.resize(3, 2);
    forecast.likelihood << first, 1 - first, second, 1 - second, outside, 1 - outside;
    forecasts.push_back(forecast);
  }

  Telling telling() const { return tellings(result, belief, forecasts, shipped_costs()).at(0); }
};

// The binary symmetric channel carries 1 - H(e) with equal inputs. Source: Cover and Thomas, Elements of Information
// Theory (from memory).
TEST(Telling, IsTheCheapestCheckThatSeparatesTheMembers) {
  Three three;
  three.offer("tells the outsider only", 1, 0.1, 0.1, 0.99);
  three.offer("dear and sure", 90, 0.01, 0.99, 0.5);
  three.offer("cheaper", 30, 0.1, 0.9, 0.5);
  three.offer("cheap and weak", 5, 0.35, 0.65, 0.5);
  const Telling telling = three.telling();
  ASSERT_TRUE(telling.check);
  EXPECT_EQ(telling.check->name, "cheaper");
  EXPECT_NEAR(telling.unknown_bits, 1, 1e-12) << "what is outside does not count";
  EXPECT_NEAR(telling.bits, 1 - entropy_of_two(0.1), 1e-12);
  EXPECT_NE(telling.words.find("30 min"), std::string::npos) << telling.words;
}

TEST(Telling, ThatIsOnlyHalfTheAnswerGoesToTheMostTelling) {
  Three three;
  three.offer("weak", 5, 0.30, 0.70, 0.5);       // 0.12 bits
  three.offer("stronger", 60, 0.25, 0.75, 0.5);  // 0.19 bits
  EXPECT_EQ(three.telling().check->name, "stronger");
  EXPECT_NE(three.telling().words.find("something"), std::string::npos);
}

TEST(Telling, SaysWhenNoCheckDoes) {
  Three three;
  three.offer("blind", 1, 0.5, 0.5, 0.99);
  three.offer("nearly blind", 1, 0.45, 0.55, 0.5);
  EXPECT_FALSE(three.telling().check);
  EXPECT_NE(three.telling().words.find("no check of the catalogue does"), std::string::npos);
}

TEST(Telling, IsNotNeededBehindOneCover) {
  Three three;
  three.offer("sure", 1, 0.01, 0.99, 0.5);
  three.belief.hypotheses[1].groups = three.belief.hypotheses[0].groups;
  EXPECT_FALSE(three.telling().check);
  EXPECT_TRUE(three.telling().one_cover);
}

/// What would tell these two apart on the valley V8, after a hot crank.
Telling between(const std::vector<std::pair<std::string, double>>& faults) {
  const Circuit circuit = valley_v8();
  MatchResult result;
  CrankEvidence hot;
  hot.condition.oil_temperature = 363.15;
  hot.condition.speed = Profile(from_rpm(180));
  hot.duration = 6;
  result.logs = {hot};
  result.sets = {{{}, ""}};
  for (const auto& [words, severity] : faults) {
    const Fault fault = parse_fault(words, circuit);
    FaultFit fit;
    for (const PossibleFault& possible : possible_faults(circuit))
      if (possible.place == fault.place && possible.kind->word == fault.kind)
        fit.candidate.suspects = {Suspect{possible.kind, {possible}}};
    fit.severities = {{fault.severity, 0.95 * fault.severity, 1.05 * fault.severity}};
    fit.probability = severity;
    result.sets.front().fits.push_back(result.fits.size());
    result.fits.push_back(fit);
  }
  return what_would_tell(circuit, result, shipped_costs(), read_checks(models_folder() + "checks.json"), {}).at(0);
}

// Which bank leaks is heard with shop air or seen with one rail blocked; gauges and sensors show the same for both.
// Source: trade's common practice (comparing bank to bank; half-split), no standard.
TEST(Telling, OfTwoBanksIsShopAirOrOneRailBlocked) {
  const Telling telling =
      between({{"left rail front end plug: hole 0.7 mm", 0.5}, {"right rail rear end plug: hole 0.7 mm", 0.5}});
  ASSERT_TRUE(telling.check);
  EXPECT_TRUE(telling.check->id.starts_with("air") || telling.check->id.starts_with("one rail")) << telling.words;
  EXPECT_GT(telling.bits, 0.3);
}

// A sensor that reads low and a pump that is worn both show too little; its volts at rest, or to crank with its plug
// off, are the cheap ways to tell. Source: common practice, no standard.
TEST(Telling, OfASensorAndAPumpIsALookAtTheSensor) {
  const Telling telling = between({{"pressure sensor: bias -250 psi", 0.5}, {"high-pressure pump: wear 9 x", 0.5}});
  ASSERT_TRUE(telling.check);
  EXPECT_TRUE(telling.check->id == "sensor volts" || telling.check->id == "unplugged sensor") << telling.words;
}

}  // namespace
}  // namespace railseep
