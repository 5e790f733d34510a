// From probabilities to the verdict on a repair: both sides of each limit that repair.hpp states.
#include <gtest/gtest.h>

#include <cmath>

#include "after/repair.hpp"
#include "made_up_match.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

using Verdict = RepairProof::Verdict;

Evidence crank_at(double kelvin) {
  CrankEvidence log;
  log.condition.oil_temperature = kelvin;
  return {{log}, {}};
}

/// Judged with a hole that explains the logs after the repair so many times better than a sound engine.
struct Judged {
  double gone = 0.98, unchanged = 0.01;
  double factor = 1;
  double before = 363.15, after = 363.15;      // [K]
  std::vector<double> pressures{0, 1e6, 2e6};  // after the repair, measured and computed [Pa]

  RepairProof proof() const {
    const Circuit circuit = inline_six();
    RepairProof made;
    made.gone = gone, made.unchanged = unchanged, made.changed = 1 - gone - unchanged;
    FaultFit hole = fit(suspect(circuit, {"jumper tube 4 seal"}, "hole"), 5e-4, 0.5);
    hole.log_evidence = -7 + std::log(factor);
    FaultFit sound = nothing_wrong(0.5);
    sound.log_evidence = -7;
    made.after.fits = {hole, sound};
    made.after.logs = crank_at(after).logs;
    made.after.logs.front().time = {0, 2, 4}, made.after.logs.front().measured = pressures;
    made.after.fits.front().computed = {pressures};
    judge_repair(circuit, crank_at(before), crank_at(after), made);
    return made;
  }
  Verdict verdict() const { return proof().verdict; }
  bool says(const std::string& words) const { return proof().why.find(words) != std::string::npos; }
};

TEST(RepairVerdict, IsProvedFromNinetyPerCentOnAndElseCanNotTell) {
  EXPECT_EQ((Judged{.gone = 0.91, .unchanged = 0.05}.verdict()), Verdict::proved);
  for (const double gone : {0.89, 0.7, 0.55, 0.4}) {
    const Judged unsure{.gone = gone, .unchanged = 0.5 * (1 - gone)};
    EXPECT_EQ(unsure.verdict(), Verdict::not_proved) << gone;
    EXPECT_TRUE(unsure.says("do not tell well enough")) << gone;
  }
}

TEST(RepairVerdict, FollowsTheLikeliestOfTheThreeWays) {
  const Judged same{.gone = 0.3, .unchanged = 0.5}, other{.gone = 0.3, .unchanged = 0.2};
  EXPECT_EQ(same.verdict(), Verdict::not_proved);
  EXPECT_TRUE(same.says("as it was"));
  EXPECT_EQ(other.verdict(), Verdict::something_left);
  EXPECT_TRUE(other.says("smaller or larger"));
}

TEST(RepairVerdict, ALogSixteenKelvinColderProvesNothingAndFourteenIsHotEnough) {
  for (const double colder : {16.0, 25.0, 40.0, 70.0}) {
    const Judged cold{.after = 363.15 - colder};
    EXPECT_EQ(cold.verdict(), Verdict::not_proved) << colder;
    EXPECT_TRUE(cold.says("cold crank proves nothing")) << colder;
  }
  for (const double colder : {14.0, 0.0, -20.0})
    EXPECT_EQ((Judged{.after = 363.15 - colder}.verdict()), Verdict::proved) << colder;
}

// Ten times as far as logs are believed: 3*ln(1 + d/3) = ln(10) at d = 3*(10^(1/3) - 1) = 3.463, a factor of exp(d)
// = 31.9.
TEST(RepairVerdict, SomethingElseIsThereFromTenTimesASoundEngineOn) {
  for (const double factor : {0.1, 1.0, 9.8, 31.0})
    EXPECT_EQ((Judged{.factor = factor}.verdict()), Verdict::proved) << factor;
  for (const double factor : {33.0, 100.0, 5000.0}) {
    const Judged left{.factor = factor};
    EXPECT_EQ(left.verdict(), Verdict::something_left) << factor;
    EXPECT_TRUE(left.says("something else is there: hole at jumper tube 4 seal")) << factor;
  }
}

// What leaves the pressure that enables injection (3.5 MPa) in time is not what keeps the engine from starting.
TEST(RepairVerdict, WhatLeavesThePressureInTimeIsNoSomethingElse) {
  Judged after{.factor = 5000, .pressures = {0, 4e6, 5e6}};
  EXPECT_EQ(after.verdict(), Verdict::proved);
  after.pressures = {0, 1e6, 3e6};
  EXPECT_EQ(after.verdict(), Verdict::something_left);
}

}  // namespace
}  // namespace railseep
