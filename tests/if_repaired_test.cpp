// Will it start if only this is repaired? Answered from what the match believes.
#include "decide/if_repaired.hpp"

#include <gtest/gtest.h>

#include "made_up_match.hpp"
#include "quantity/error.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

const std::string left_plug = "left rail front end plug";
const std::string right_plug = "right rail front end plug";
constexpr double wide = 9e-4;  // a hole with which the engine does not start hot [m]

Suspect holes(const std::vector<std::string>& places) { return suspect(valley_v8(), places, "hole"); }

IfRepaired answer_for(const MatchResult& result, const std::vector<std::string>& places) {
  const Decision decision = decide(valley_v8(), result, read_costs(models_folder() + "costs.json"), Checks{});
  return if_repaired(valley_v8(), decision, places);
}

TEST(IfRepaired, TheOnlyFaultPutRightLetsItStart) {
  const IfRepaired found = answer_for(matched({fit(holes({left_plug}), wide, 1)}), {left_plug});
  EXPECT_LT(found.starts_now, 0.1);
  EXPECT_GT(found.starts, 0.95);
  EXPECT_NEAR(found.at_fault, 1, 1e-9);
}

TEST(IfRepaired, OneOfTwoSealsThatLookAlikeIsItInOneCaseOfTwo) {
  const IfRepaired found = answer_for(matched({fit(holes({left_plug, right_plug}), wide, 1)}), {left_plug});
  EXPECT_NEAR(found.at_fault, 0.5, 1e-9);
  EXPECT_NEAR(found.starts, 0.5, 0.06);
}

// Behind one cover a belief holds all places of a candidate together: one of three is the one in a third of cases.
TEST(IfRepaired, OneOfThreeBehindTheSameCoverIsItInAThird) {
  const std::vector<std::string> seals{"left injector 1 top seal", "left injector 2 top seal",
                                       "left injector 3 top seal"};
  const IfRepaired found = answer_for(matched({fit(holes(seals), wide, 1)}), {seals[1]});
  EXPECT_NEAR(found.at_fault, 1.0 / 3, 1e-9);
  EXPECT_NEAR(found.starts, 1.0 / 3, 0.06);
}

TEST(IfRepaired, TroubleElsewhereStaysThere) {
  const IfRepaired found = answer_for(matched({fit(holes({left_plug}), wide, 0.6), nothing_wrong(0.4)}), {left_plug});
  EXPECT_NEAR(found.starts, 0.6, 0.04);
  EXPECT_NEAR(found.keeps.front().second, 0.4, 0.02);
}

// A cut seal and a worn pump: the seal alone does not bring the engine back.
TEST(IfRepaired, OfTwoFaultsOneIsNotEnough) {
  FaultFit both = fit(holes({left_plug}), wide, 1);
  both.candidate.suspects.push_back(suspect(valley_v8(), {"high-pressure pump"}, "wear"));
  both.severities.emplace_back(20, 19, 21);
  EXPECT_LT(answer_for(matched({both}), {left_plug}).starts, 0.1);
  EXPECT_LT(answer_for(matched({both}), {"high-pressure pump"}).starts, 0.1);
  EXPECT_GT(answer_for(matched({both}), {left_plug, "high-pressure pump"}).starts, 0.95);
}

TEST(IfRepaired, ACoverStandsForAllThatItHides) {
  const MatchResult result = matched({fit(holes({left_plug}), wide, 1)});
  const Circuit circuit = valley_v8();
  const auto site = std::ranges::find(circuit.sites, left_plug, &Site::name);
  ASSERT_NE(site, circuit.sites.end());
  EXPECT_EQ(answer_for(result, {site->access}).starts, answer_for(result, {left_plug}).starts);
}

TEST(IfRepaired, AWrongPlaceIsRefusedWithTheNearest) {
  try {
    answer_for(matched({fit(holes({left_plug}), wide, 1)}), {"left rail front plug"});
    FAIL() << "it was taken";
  } catch (const Error& error) {
    EXPECT_NE(std::string(error.what()).find(left_plug), std::string::npos) << error.what();
  }
}

}  // namespace
}  // namespace railseep
