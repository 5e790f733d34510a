// From what may be wrong to what to do next, on beliefs made by hand; and once from made-up logs to the end.
#include "decide/decide.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "drive/starter.hpp"
#include "made_up_log.hpp"
#include "made_up_match.hpp"
#include "quantity/error.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

const Costs& costs() {
  static const Costs shipped = read_costs(models_folder() + "costs.json");
  return shipped;
}
const Checks& checks() {
  static const Checks shipped = read_checks(models_folder() + "checks.json");
  return shipped;
}

DecideOptions only(const std::vector<std::string>& ids) {
  DecideOptions options;
  for (const std::string_view id : check_ids())
    if (std::find(ids.begin(), ids.end(), id) == ids.end()) options.done.emplace_back(id);
  return options;
}

const RankedCheck& find(const Decision& decision, const std::string& id) {
  const auto found = std::find_if(decision.checks.begin(), decision.checks.end(),
                                  [&](const RankedCheck& c) { return c.check.id == id; });
  if (found == decision.checks.end()) throw Error("test", "there is no check " + id, "offer it");
  return *found;
}

TEST(Belief, SplitsPlacesBehindDifferentCovers) {
  const Circuit circuit = valley_v8();
  const MatchResult result =
      matched({fit(suspect(circuit, {"left stand tube bottom seal", "right stand tube bottom seal", "branch tube seat"},
                           "hole"),
                   5e-4, 0.9),
               nothing_wrong(0.1)});
  const Belief all = belief(circuit, result, costs());
  ASSERT_EQ(all.hypotheses.size(), 4u);
  double sum = 0;
  for (const Hypothesis& h : all.hypotheses) {
    sum += h.probability;
    EXPECT_NEAR(h.probability, h.candidate.healthy() ? 0.1 : 0.3, 1e-12);
  }
  EXPECT_NEAR(sum, 1, 1e-12);
  EXPECT_NEAR(all.weights().sum(), 1, 1e-12);
  EXPECT_EQ(all.groups.size(), 3u);
}

// A pump is one row of a match, the seals of an engine are thirty. Here each row of holes has less than the pump and
// together they have three quarters: whoever reads one line must not buy a pump.
TEST(Belief, AsOneOpensTheSealsOfACoverStandTogether) {
  const Circuit circuit = valley_v8();
  const auto hole = [&](const std::string& place) { return fit(suspect(circuit, {place}, "hole"), 5e-4, 0.15); };
  const MatchResult result =
      matched({fit(suspect(circuit, {"high-pressure pump"}, "wear"), 8, 0.2), hole("left rail front end plug"),
               hole("left stand tube top seal"), hole("left injector 1 top seal"), hole("right rail front end plug"),
               fit(suspect(circuit, {"left injectors"}, "worn spools"), 2, 0.1), nothing_wrong(0.1)});
  const std::vector<Covered> covers = by_cover(belief(circuit, result, costs()));
  ASSERT_EQ(covers.size(), 4u);
  EXPECT_EQ(covers[0].name, "left valve cover");
  EXPECT_NEAR(covers[0].probability, 0.55, 1e-12);
  ASSERT_EQ(covers[0].kinds.size(), 2u);
  EXPECT_EQ(covers[0].kinds[0].first, "hole");
  EXPECT_NEAR(covers[0].kinds[0].second, 0.45, 1e-12);
  EXPECT_EQ(covers[1].name, "valley cover");
  EXPECT_EQ(covers[1].kinds[0].first, "wear of the high-pressure pump");
  double sum = 0;
  for (const Covered& one : covers) sum += one.probability;
  EXPECT_NEAR(sum, 1, 1e-12);
  EXPECT_EQ(covers.back().name, "not the oil side");
}

TEST(Belief, TwoFaultsAreSplitEachByItsOwnCovers) {
  const Circuit circuit = valley_v8();
  FaultFit two = fit(suspect(circuit, {"left rail front end plug"}, "hole"), 4e-4, 1);
  two.candidate.suspects.push_back(
      suspect(circuit, {"left stand tube bottom seal", "right stand tube bottom seal"}, "hole"));
  two.severities.push_back({3e-4, 2e-4, 4e-4});
  const Belief all = belief(circuit, matched({two}), costs());
  ASSERT_EQ(all.hypotheses.size(), 2u);
  for (const Hypothesis& h : all.hypotheses) EXPECT_EQ(h.groups.size(), 2u);
  // Together they lose the oil that is missing: when one is at its upper end the other is at its lower.
  EXPECT_GT(all.possibilities[0].severities[1], all.possibilities[2].severities[1]);
  EXPECT_LT(all.possibilities[0].severities[0], all.possibilities[2].severities[0]);
}

TEST(Belief, ThreeSeveritiesKeepMeanAndVarianceOfANormalOne) {
  const Circuit circuit = valley_v8();
  FaultFit one = fit(suspect(circuit, {"left rail front end plug"}, "hole"), 5e-4, 1);
  const double deviation = 2e-5;
  one.severities = {{5e-4, 5e-4 - 1.645 * deviation, 5e-4 + 1.645 * deviation}};
  const Belief all = belief(circuit, matched({one}), costs());
  double mean = 0, square = 0;
  for (const Possibility& p : all.possibilities)
    mean += p.share * p.severities[0], square += p.share * p.severities[0] * p.severities[0];
  EXPECT_NEAR(mean, 5e-4, 1e-12);
  EXPECT_NEAR(std::sqrt(square - mean * mean), deviation, 1e-9);
}

struct TradePair {
  const char* label;
  const char* place[2];
  const char* kind[2];
  double severity[2];
  const char* check;  // splits them
  const char* blind;  // does not
};

void PrintTo(const TradePair& pair, std::ostream* out) { *out << pair.label; }

// Pairs that look the same in a crank log, and the test that splits them: common practice of the trade, no source.
class LookAlikePair : public testing::TestWithParam<TradePair> {};

TEST_P(LookAlikePair, IsSplitByTheTestTheTradeNames) {
  const TradePair& pair = GetParam();
  const Circuit circuit = valley_v8();
  const MatchResult result = matched({fit(suspect(circuit, {pair.place[0]}, pair.kind[0]), pair.severity[0], 0.5),
                                      fit(suspect(circuit, {pair.place[1]}, pair.kind[1]), pair.severity[1], 0.5)});
  const Decision decision =
      decide(circuit, result, costs(), checks(),
             only({std::string(pair.check).substr(0, std::string(pair.check).find(": ")), pair.blind}));
  EXPECT_NEAR(decision.unknown_bits, 1, 1e-12);
  EXPECT_GT(find(decision, pair.check).bits, 0.5) << pair.check;
  EXPECT_LT(find(decision, pair.blind).bits, 0.1) << pair.blind;
}

INSTANTIATE_TEST_SUITE_P(OfTheTrade, LookAlikePair,
                         testing::Values(TradePair{"PumpOrSealByIsolation",
                                                   {"high-pressure pump", "left rail front end plug"},
                                                   {"wear", "hole"},
                                                   {12, 6e-4},
                                                   "isolation",
                                                   "coil"},
                                         TradePair{"LeftOrRightByHalfSplit",
                                                   {"left rail front end plug", "right rail front end plug"},
                                                   {"hole", "hole"},
                                                   {8e-4, 8e-4},
                                                   "one rail: left rail",
                                                   "isolation"},
                                         TradePair{"LeftOrRightByAir",
                                                   {"left rail front end plug", "right rail front end plug"},
                                                   {"hole", "hole"},
                                                   {8e-4, 8e-4},
                                                   "air energised",
                                                   "read again"},
                                         TradePair{"SensorLowOrLeakByVolts",
                                                   {"pressure sensor", "left rail front end plug"},
                                                   {"bias", "hole"},
                                                   {-1.5e6, 6e-4},
                                                   "sensor volts",
                                                   "coil"},
                                         TradePair{"SensorLowOrLeakByGauge",
                                                   {"pressure sensor", "left rail front end plug"},
                                                   {"bias", "hole"},
                                                   {-1.5e6, 6e-4},
                                                   "rail gauge",
                                                   "coil"},
                                         TradePair{"StuckOrCoilByOhms",
                                                   {"pressure regulator", "pressure regulator"},
                                                   {"stuck open", "coil open"},
                                                   {0.2, 1000},
                                                   "coil",
                                                   "oil sample"},
                                         TradePair{"FuelOrWearByOilSample",
                                                   {"engine", "high-pressure pump"},
                                                   {"fuel in the oil", "wear"},
                                                   {0.12, 8},
                                                   "oil sample",
                                                   "sensor volts"},
                                         TradePair{"SupplyOrLeakByBaseGauge",
                                                   {"supply", "left rail front end plug"},
                                                   {"low supply", "hole"},
                                                   {0.85, 2e-3},
                                                   "base oil gauge",
                                                   "coil"},
                                         TradePair{"HoleOrWearBySecondSpeed",
                                                   {"left rail front end plug", "high-pressure pump"},
                                                   {"hole", "wear"},
                                                   {7e-4, 30},
                                                   "faster crank",
                                                   "sensor volts"}),
                         [](const auto& test) { return std::string(test.param.label); });

TEST(Decide, SilenceLeavesSealsThatLiftAndThePump) {
  const Circuit circuit = valley_v8();
  const MatchResult result = matched({fit(suspect(circuit, {"left rail front end plug"}, "hole"), 9e-4, 0.4),
                                      fit(suspect(circuit, {"right rail front end plug"}, "lifting seal"), 9e-4, 0.3),
                                      fit(suspect(circuit, {"high-pressure pump"}, "lost capacity"), 0.5, 0.3)});
  const Decision decision = decide(circuit, result, costs(), checks(), only({"air energised"}));
  const RankedCheck& air = find(decision, "air energised");
  const auto of = [&](const std::string& word, const OutcomeMeaning& meaning) {
    double p = 0;
    for (std::size_t h = 0; h < decision.belief.hypotheses.size(); ++h)
      if (decision.belief.hypotheses[h].title().find(word) != std::string::npos) p += meaning.hypotheses[h];
    return p;
  };
  bool silent = false, left = false;
  for (const OutcomeMeaning& meaning : air.outcomes) {
    if (meaning.outcome.starts_with("no place")) {
      silent = true;
      EXPECT_GT(of("lifting seal", meaning) + of("lost capacity", meaning), 0.85) << meaning.says;
    }
    if (meaning.outcome.starts_with("left cover")) {
      left = true;
      EXPECT_GT(of("hole", meaning), 0.9) << meaning.says;
      EXPECT_EQ(meaning.then, "open: left valve cover");
    }
  }
  EXPECT_TRUE(silent);
  EXPECT_TRUE(left);
}

TEST(Decide, OffersOnlyWhatTheEngineCanHaveAndNeeds) {
  const auto ids = [](const Decision& decision) {
    std::vector<std::string> all;
    for (const RankedCheck& c : decision.checks) all.push_back(c.check.id);
    return all;
  };
  const auto has = [](const std::vector<std::string>& all, const std::string& id) {
    return std::find(all.begin(), all.end(), id) != all.end();
  };
  const Circuit v8 = valley_v8(), six = inline_six();
  const std::vector<std::string> good =
      ids(decide(v8, matched({fit(suspect(v8, {"left rail front end plug"}, "hole"), 5e-4, 1)}), costs(), checks(),
                 only({"one rail", "charged batteries", "hot crank", "read again", "air at the pump"})));
  EXPECT_TRUE(has(good, "one rail: left rail") && has(good, "one rail: right rail"));
  EXPECT_TRUE(has(good, "air at the pump"));  // the outlet check valve keeps air from the rail away from the pump
  EXPECT_TRUE(has(good, "read again") && !has(good, "hot crank"));
  const std::vector<std::string> slow =
      ids(decide(six, matched({fit(suspect(six, {"manifold front end plug"}, "hole"), 5e-4, 1)}, 110), costs(),
                 checks(), only({"one rail", "charged batteries"})));
  EXPECT_TRUE(has(slow, "charged batteries"));
  EXPECT_FALSE(has(slow, "one rail: left rail"));
  EXPECT_EQ(slow.size(), 1u);
}

// Batteries that crank as fast as a healthy starter does need no charging.
TEST(Decide, BatteriesAreChargedOnlyWhereTheyCrankSlowly) {
  const Circuit circuit = inline_six();
  const double healthy = Starter(circuit.starter, oil_of(circuit, circuit.oil, 363.15).viscosity).settled_speed() * 60 /
                         (2 * std::numbers::pi);
  for (const auto& [share, offered] : {std::pair(1.0, false), {0.85, true}}) {
    const Decision decision =
        decide(circuit, matched({fit(suspect(circuit, {"manifold front end plug"}, "hole"), 5e-4, 1)}, share * healthy),
               costs(), checks(), only({"charged batteries"}));
    EXPECT_EQ(!decision.checks.empty(), offered) << share;
  }
}

TEST(Decide, PlanIsNeverDearerThanAnotherOrder) {
  const Circuit circuit = valley_v8();
  const MatchResult result =
      matched({fit(suspect(circuit, {"high-pressure pump"}, "wear"), 10, 0.35),
               fit(suspect(circuit, {"left rail front end plug", "left rail rear end plug"}, "hole"), 5e-4, 0.3),
               fit(suspect(circuit, {"pressure regulator"}, "stuck open"), 0.05, 0.2), nothing_wrong(0.15)});
  const Decision decision = decide(circuit, result, costs(), checks(), only({"oil level"}));
  EXPECT_LE(decision.plan.expected.money, decision.dearest_first.expected.money);
  EXPECT_LE(decision.plan.expected.money, decision.by_ratio.expected.money);
  EXPECT_EQ(decision.belief.groups[decision.dearest_first.steps.front().group].name,
            "valley cover");  // the pump is the dearest part
  EXPECT_NEAR(decision.saved.money, decision.dearest_first.expected.money - decision.plan.expected.money, 1e-9);
  EXPECT_GT(decision.saved.money, 0);
}

TEST(Decide, RenewsTogetherWhatComesBackDearer) {
  const Circuit circuit = valley_v8();
  const MatchResult result = matched({fit(suspect(circuit, {"left rail front end plug"}, "hole"), 5e-4, 1)});
  Costs certain = costs(), never = costs();
  for (RepairPrice& part : certain.repairs) part.second_failure = part.second_failure > 0 ? 1 : 0;
  for (RepairPrice& part : never.repairs) part.second_failure = 0;
  const WorkGroup all = belief(circuit, result, certain).groups.front(),
                  none = belief(circuit, result, never).groups.front();
  std::size_t seals = 0;
  for (const Site& site : circuit.sites) seals += site.access == "left valve cover";
  EXPECT_EQ(all.together.size(), seals);
  EXPECT_EQ(all.comeback, 0);
  EXPECT_TRUE(none.together.empty());
}

TEST(Decide, ThreadsDoNotChangeAnythingAndProgressCanStop) {
  const Circuit circuit = valley_v8();
  const MatchResult result = matched({fit(suspect(circuit, {"high-pressure pump"}, "wear"), 10, 0.5),
                                      fit(suspect(circuit, {"left rail front end plug"}, "hole"), 5e-4, 0.5)});
  DecideOptions options = only({"isolation", "air open", "sensor volts"});
  options.threads = 1;
  const Decision one = decide(circuit, result, costs(), checks(), options);
  options.threads = 3;
  const Decision three = decide(circuit, result, costs(), checks(), options);
  ASSERT_EQ(one.checks.size(), three.checks.size());
  for (std::size_t i = 0; i < one.checks.size(); ++i) {
    EXPECT_EQ(one.checks[i].check.id, three.checks[i].check.id);
    EXPECT_EQ(one.checks[i].bits, three.checks[i].bits);
    EXPECT_EQ(one.checks[i].expected.money, three.checks[i].expected.money);
  }
  struct Stop {};
  options.progress = [](std::size_t, std::size_t, const std::string&) { throw Stop{}; };
  EXPECT_THROW(decide(circuit, result, costs(), checks(), options), Stop);
}

TEST(Decide, DoesNotSearchForLeaksThatLeavePressureEnough) {
  const Circuit circuit = valley_v8();
  FaultFit small = fit(suspect(circuit, {"left rail front end plug"}, "hole"), 2e-4, 0.7),
           sensor = fit(suspect(circuit, {"pressure sensor"}, "bias"), 1e6, 0.1);
  MatchResult result = matched({small, nothing_wrong(0.2), sensor});
  result.logs[0].time = {0, 2, 4, 6, 8};
  for (FaultFit& one : result.fits) one.computed = {{0, 1e6, 4e6, 5e6, 5e6}};
  const Belief in_time = belief(circuit, result, costs());
  EXPECT_TRUE(in_time.hypotheses[0].harmless);
  EXPECT_FALSE(in_time.hypotheses[2].harmless);  // a sensor that reads too high hides a lack of pressure
  EXPECT_TRUE(
      decide(circuit, matched({small, nothing_wrong(0.3)}), costs(), checks(), only({"oil level"})).plan.steps.size() >=
      1);
  result.fits.pop_back();
  const Decision decision = decide(circuit, result, costs(), checks(), only({"oil level"}));
  EXPECT_TRUE(decision.plan.steps.empty());
  EXPECT_FALSE(decision.check_first);
  result.fits[0].computed = {{0, 1e6, 3e6, 5e6, 5e6}};  // there at last, but late
  EXPECT_FALSE(belief(circuit, result, costs()).hypotheses[0].harmless);
}

TEST(Decide, RefusesAMatchWithoutCandidates) { EXPECT_THROW(decide(valley_v8(), {}, costs(), checks()), Error); }

TEST(Decide, GoesFromLogsToTheRightCover) {
  const Circuit circuit = inline_six();
  const Circuit faulty = with_faults(circuit, std::vector{parse_fault("high-pressure pump: wear 14 x", circuit)});
  Priors priors = read_priors(models_folder() + "priors.json");
  for (auto& [kind, weight] : priors) weight = kind == "wear (pump)" || kind == "hole" ? 1 : 0;
  const MatchResult result = match(circuit,
                                   {{made_up_log(faulty, {.name = "cold", .celsius = 15, .rpm = 155, .seed = 3}),
                                     made_up_log(faulty, {.name = "hot", .celsius = 90, .rpm = 172, .seed = 4})}},
                                   priors);
  const Decision decision = decide(circuit, result, costs(), checks());
  EXPECT_EQ(decision.belief.groups[decision.plan.steps.front().group].name, "pump");
  EXPECT_FALSE(decision.assumed.empty());
  for (const RankedCheck& check : decision.checks)
    EXPECT_LE(check.expected.money, check.alone.money + 1e-9) << check.check.id;
}

}  // namespace
}  // namespace railseep
