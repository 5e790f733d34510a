// What somebody has seen and described counts nearly as proof, what stands open costs nothing to look behind, and a
// check that cannot give an outcome here is not offered.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "decide/decide.hpp"
#include "job/noted_checks.hpp"
#include "made_up_match.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

const std::string plug = "left rail front end plug";

/// Probability of a fault after a look, by Bayes: it had this much before, a fault elsewhere the rest.
double after(const Inspection& look, const Fault& fault, double before) {
  const Circuit circuit = valley_v8();
  const std::vector<Fault> here{fault}, elsewhere{{"right rail rear end plug", "hole", 5e-4}};
  const double with = before * std::exp(log_likelihood(look, with_faults(circuit, here), here));
  return with / (with + (1 - before) * std::exp(log_likelihood(look, with_faults(circuit, elsewhere), elsewhere)));
}

// A technician who writes "a notch half a millimetre wide" has the seal in his hand. Before, its place held 8 % (one of
// a dozen seals that a log cannot tell apart); what he says must leave no more than 1 to 2 % for anything else. A bare
// "bad" is a look that is wrong now and then (one in twenty) and leaves a third.
TEST(SeenFault, DescribedItIsProofWithinTwoInAHundred) {
  const Fault hole{plug, "hole", 5e-4};
  EXPECT_GT(after({"seen", true, plug, {}, true}, hole, 0.08), 0.98);
  EXPECT_LT(after({"seen", true, plug, {}, false}, hole, 0.08), 0.8);
  EXPECT_GT(after({"inlet screen", true, "", {}, true}, {"high-pressure pump", "inlet blocked", 0.998}, 0.08), 0.98);
}

// Debris lies on the regulator's screen of many a sound engine: described or not, it condemns nothing.
TEST(SeenFault, DebrisOnTheRegulatorsScreenIsNoProofHoweverWellDescribed) {
  const Fault wear{"high-pressure pump", "wear", 8};
  EXPECT_NEAR(after({"regulator screen", true, "", {}, true}, wear, 0.2),
              after({"regulator screen", true, "", {}, false}, wear, 0.2), 1e-12);
}

TEST(SeenFault, WordsBesideAGoodLookMakeItNoSurer) {
  const Fault hole{plug, "hole", 5e-4};
  EXPECT_DOUBLE_EQ(after({"seen", false, plug, {}, true}, hole, 0.3),
                   after({"seen", false, plug, {}, false}, hole, 0.3));
}

// A button of the window writes the catalogue's words: nobody described anything.
TEST(SeenFault, OnlyOnesOwnWordsDescribe) {
  Job job;
  job.findings = {{"seen", "seal cut", true, plug},
                  {"seen", "", true, plug},
                  {.check = "inlet screen", .text = "the screen is blocked", .bad = true, .done = "regulator screen"}};
  const Evidence evidence = evidence_of(job, {});
  ASSERT_EQ(evidence.observations.checks.size(), 3u);
  EXPECT_TRUE(evidence.observations.checks[0].described);
  EXPECT_FALSE(evidence.observations.checks[1].described);
  EXPECT_FALSE(evidence.observations.checks[2].described);
  EXPECT_EQ(shop_of(job, evidence).seen.size(), 1u);
}

const Costs& costs() {
  static const Costs shipped = read_costs(models_folder() + "costs.json");
  return shipped;
}

DecideOptions offering(std::vector<std::string> ids) {
  DecideOptions options;
  for (const std::string_view id : check_ids())
    if (std::ranges::find(ids, id) == ids.end()) options.done.emplace_back(id);
  return options;
}

Decision decided(const MatchResult& result, const DecideOptions& options) {
  return decide(valley_v8(), result, costs(), read_checks(models_folder() + "checks.json"), options);
}

bool offered(const Decision& decision, const std::string& id) {
  return std::ranges::any_of(decision.checks, [&](const RankedCheck& ranked) { return ranked.check.id == id; });
}

TEST(SeenFault, IsRenewedAndProvedBeforeAnythingElse) {
  const Circuit circuit = valley_v8();
  FaultFit hole = fit(suspect(circuit, {plug, "left rail rear end plug"}, "hole"), 5e-4, 0.97);
  hole.places = {{0.99, 0.01}};
  const MatchResult result = matched({hole, fit(suspect(circuit, {"high-pressure pump"}, "wear"), 8, 0.03)});
  DecideOptions options = offering({"oil level"});
  EXPECT_FALSE(decided(result, options).seen) << "nobody has seen anything";
  options.shop.seen = {{"seen", true, plug, {}, true}};
  options.shop.open = {"left valve cover"};
  const Decision decision = decided(result, options);
  ASSERT_TRUE(decision.seen);
  EXPECT_NEAR(decision.seen->probability, 0.97 * 0.99, 1e-12);
  ASSERT_FALSE(decision.plan.steps.empty());
  EXPECT_EQ(decision.belief.groups[decision.plan.steps.front().group].name, "left valve cover");
  EXPECT_EQ(decision.plan.steps.front().cost.money, 0) << "it is open";
  options.shop.seen.front().place = "left rail rear end plug";
  EXPECT_FALSE(decided(result, options).seen) << "the match does not believe that";
}

TEST(SeenFault, WhatStandsOpenMustBeThere) {
  const Circuit circuit = valley_v8();
  const MatchResult result = matched({fit(suspect(circuit, {plug}, "hole"), 5e-4, 1)});
  DecideOptions options = offering({"oil level"});
  options.shop.open = {"left valve cove"};
  EXPECT_NE(error_of([&] { decided(result, options); }).find("did you mean \"left valve cover\""), std::string::npos);
}

// With no pressure while cranking there is nothing that could fall; a leak that leaves 300 psi does fall.
TEST(ChecksOffered, HoldNeedsAPressureThatCanFall) {
  const Circuit circuit = valley_v8();
  const Suspect pump = suspect(circuit, {"high-pressure pump"}, "lost capacity");
  EXPECT_FALSE(offered(decided(matched({fit(pump, 0.99, 1)}), offering({"hold"})), "hold"));
  const MatchResult leaks = matched({fit(suspect(circuit, {plug}, "hole"), 5e-4, 1)});
  EXPECT_TRUE(offered(decided(leaks, offering({"hold"})), "hold"));
}

// An engine that does not start cold cannot be warmed by running it: no hot crank, and what else is done is forecast as
// warm as it stands.
TEST(ChecksOffered, NothingHotIsAskedOfAnEngineThatDoesNotRun) {
  const Circuit circuit = valley_v8();
  MatchResult result = matched({fit(suspect(circuit, {plug}, "hole"), 1.2e-3, 1)});
  result.logs[0].condition.oil_temperature = 295;
  DecideOptions options = offering({"hot crank", "isolation"});
  EXPECT_TRUE(offered(decided(result, options), "hot crank"));
  options.shop.can_warm = false;
  const Decision decision = decided(result, options);
  EXPECT_FALSE(offered(decision, "hot crank"));
  EXPECT_TRUE(offered(decision, "isolation"));
  EXPECT_DOUBLE_EQ(decision.hot.oil_temperature, 295);
}

TEST(ChecksOffered, AnEngineThatEverStartedOrWasHotCanBeWarmed) {
  const auto warm = [](std::vector<std::pair<bool, double>> starts) {
    Evidence evidence;
    for (const auto& [started, temperature] : starts) {
      evidence.observations.starts.push_back({"a crank", started, {}});
      evidence.observations.starts.back().situation.oil_temperature = temperature;
    }
    return shop_of({}, evidence).can_warm;
  };
  EXPECT_FALSE(warm({{false, 295}}));
  EXPECT_TRUE(warm({{false, 295}, {true, 285}}));
  EXPECT_TRUE(warm({{false, 365}}));
  EXPECT_TRUE(warm({}));
}

}  // namespace
}  // namespace railseep
