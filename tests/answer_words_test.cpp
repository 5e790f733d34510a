#include <gtest/gtest.h>

#include <algorithm>

#include "procedure/cautions.hpp"
#include "words/answer.hpp"
#include "words/caution_words.hpp"

namespace railseep {
namespace {

Hypothesis leak(const FaultKind& kind, std::vector<std::string> places, int group, double probability) {
  Hypothesis h;
  Suspect suspect{&kind, {}};
  for (std::string& place : places) suspect.places.push_back({std::move(place), &kind, 1e-4, 1e-3, "", 0});
  h.candidate.suspects = {suspect};
  h.groups = {group};
  h.probability = probability;
  return h;
}

const FaultKind& kind(std::string_view word) {
  return *std::ranges::find_if(fault_kinds(), [&](const FaultKind& one) { return one.word == word; });
}

WorkGroup group(const std::string& name, double labour) {
  WorkGroup one;
  one.name = name;
  one.labour = labour;
  return one;
}

// What is opened counts: two unlikely faults behind one cover come before a likelier one behind another.
TEST(Whereabouts, ProbabilitiesAddUpByWhatIsOpened) {
  Belief belief;
  belief.groups = {group("left cover", 3600), group("pump", 7200)};
  belief.hypotheses = {leak(kind("hole"), {"pump outlet fitting"}, 1, 0.4), leak(kind("hole"), {"rail plug"}, 0, 0.35),
                       leak(kind("gap"), {"rail plug"}, 0, 0.25)};
  const std::vector<Whereabouts> rows = whereabouts(belief);
  ASSERT_EQ(rows.size(), 2u);
  EXPECT_EQ(rows[0].behind, "left cover");
  EXPECT_DOUBLE_EQ(rows[0].probability, 0.6);
  EXPECT_EQ(rows[0].what, "rail plug");  // named once, though it may have a hole or a gap
  EXPECT_DOUBLE_EQ(rows[0].labour, 3600);
}

TEST(Whereabouts, ManySealsBehindACoverAreCounted) {
  Belief belief;
  belief.groups = {group("valve cover", 0)};
  belief.hypotheses = {leak(kind("hole"), {"tube 1 seal", "tube 2 seal", "tube 3 seal"}, 0, 1)};
  EXPECT_EQ(whereabouts(belief).front().what, "any of 3 seals: tube seal (3)");
}

TEST(CautionWords, EveryProcedureThatHasCautionsHasADigest) {
  for (const Caution& caution : cautions())
    EXPECT_TRUE(std::ranges::any_of(caution_digests(), [&](const CautionDigest& digest) {
      return digest.when == caution.when;
    })) << caution.when;
}

TEST(ShownUnits, TypedTextReadsBack) {
  ShownUnits units;
  units.pressure = "bar", units.temperature = "degF";
  EXPECT_EQ(units.typed(3.5e6, Quantity::pressure), "35.0 bar");
  EXPECT_NEAR(units.read(units.typed(363.15, Quantity::temperature, "", 4), Quantity::temperature), 363.15, 0.06);
}

}  // namespace
}  // namespace railseep
