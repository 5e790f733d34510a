// Before and after a repair: made-up logs of one engine that is not quite the nominal one, with the fault, without it,
// and with what else may be left.
#include "after/repair.hpp"

#include <gtest/gtest.h>

#include "full_match.hpp"
#include "hypothesis/fault_flow.hpp"
#include "made_up_log.hpp"
#include "quantity/error.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

/// An engine of its own, within the spreads of the circuit file.
Circuit engine(std::vector<const char*> faults) {
  Circuit circuit = inline_six();
  for (Link& link : circuit.links)
    if (Pump* pump = std::get_if<Pump>(&link.element)) pump->displacement *= 0.96, pump->slip *= 1.2;
  std::vector<Fault> parsed;
  for (const char* fault : faults) parsed.push_back(parse_fault(fault, circuit));
  return with_faults(circuit, parsed);
}

Evidence cranks(std::vector<const char*> faults, double celsius, unsigned seed) {
  return {{made_up_log(engine(faults),
                       {.name = "crank " + std::to_string(seed), .celsius = celsius, .rpm = 168, .seed = seed})},
          {}};
}

RepairProof proof_of(std::vector<const char*> before, std::vector<const char*> after, double celsius_after = 88) {
  Priors priors = read_priors(source_file("models/priors.json"));
  for (auto& [kind, weight] : priors)
    if (kind != "hole" && kind != "wear (pump)" && kind != "gap" && kind != "healthy") weight = 0;
  return prove_repair(inline_six(), cranks(before, 88, 5), cranks(after, celsius_after, 6), priors);
}

TEST(Repair, IsProvedWhenTheHoleIsGone) {
  FULL_MATCH;
  const RepairProof proof = proof_of({"jumper tube 4 seal: hole 0.7 mm"}, {});
  EXPECT_EQ(proof.verdict, RepairProof::Verdict::proved) << proof.why;
  EXPECT_GT(proof.gone, 0.9);
  ASSERT_TRUE(proof.flow_before);
  // A hole of 0.7 mm passes Cd*A*sqrt(2*dp/rho) at 3.5 MPa: 0.62*3.85e-7*sqrt(2*3.5e6/830) = 21.9 cm3/s (Torricelli).
  EXPECT_LT(proof.flow_before->low, 21.9e-6);
  EXPECT_GT(proof.flow_before->high, 21.9e-6 * 0.97);
}

/// Whether it started when it was cranked as in this log.
Started told_start(const CrankEvidence& log, bool started) {
  Started start;
  start.started = started;
  start.situation.oil_temperature = log.condition.oil_temperature;
  start.situation.speed = log.condition.speed.at(log.duration / 2);
  start.situation.cranked = log.duration;
  return start;
}

// The same logs, and beside them that it started, or did not: an engine with 0.7 mm open builds no pressure to start
// by, so that a start speaks for gone, and a no-start does not.
TEST(Repair, AStartSpeaksForGoneAndANoStartDoesNot) {
  FULL_MATCH;
  Priors priors = read_priors(source_file("models/priors.json"));
  for (auto& [kind, weight] : priors)
    if (kind != "hole" && kind != "healthy") weight = 0;
  const Evidence before = cranks({"jumper tube 4 seal: hole 0.7 mm"}, 88, 5);
  const auto gone = [&](bool started) {
    Evidence after = cranks({}, 88, 6);
    after.observations.starts.push_back(told_start(after.logs.front(), started));
    return prove_repair(inline_six(), before, after, priors).gone;
  };
  const double started = gone(true);
  EXPECT_GT(started, gone(false));
  EXPECT_GT(started, 0.95);
}

TEST(Repair, IsNotProvedWhenNothingChanged) {
  const RepairProof proof = proof_of({"jumper tube 4 seal: hole 0.7 mm"}, {"jumper tube 4 seal: hole 0.7 mm"});
  EXPECT_EQ(proof.verdict, RepairProof::Verdict::not_proved) << proof.why;
  EXPECT_GT(proof.unchanged, 0.7);
  // The oil it costs is that of the size found, at the best size and at both ends.
  ASSERT_TRUE(proof.flow_before);
  const Severity& size = proof.fault.severities.front();
  for (const auto& [told, severity] : {std::pair{proof.flow_before->best, size.best},
                                       {proof.flow_before->low, size.low},
                                       {proof.flow_before->high, size.high}}) {
    FaultFit one = proof.fault;
    one.severities = {{severity, severity, severity}};
    EXPECT_NEAR(told / *fault_flow(inline_six(), proof.before.logs, one), 1, 1e-9);
  }
}

TEST(Repair, LeavesSomethingWhenTheHoleIsOnlySmaller) {
  FULL_MATCH;
  const RepairProof proof = proof_of({"jumper tube 4 seal: hole 0.8 mm"}, {"jumper tube 5 seal: hole 0.6 mm"});
  EXPECT_EQ(proof.verdict, RepairProof::Verdict::something_left) << proof.why;
  ASSERT_TRUE(proof.flow_after);
  const double truth = 21.9e-6 * (0.6 / 0.7) * (0.6 / 0.7);
  EXPECT_LT(proof.flow_after->low, truth);
  EXPECT_GT(proof.flow_after->high, truth * 0.97);
}

TEST(Repair, AColdCrankProvesNothing) {
  FULL_MATCH;
  const RepairProof proof = proof_of({"jumper tube 4 seal: hole 0.7 mm"}, {}, 20);
  EXPECT_EQ(proof.verdict, RepairProof::Verdict::not_proved);
  EXPECT_NE(proof.why.find("cold crank proves nothing"), std::string::npos);
}

TEST(Repair, NeedsLogsOfBothStages) {
  const Priors priors = read_priors(source_file("models/priors.json"));
  const auto refusal = [&](const Evidence& before, const Evidence& after) {
    try {
      prove_repair(inline_six(), before, after, priors);
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string("nothing was thrown");
  };
  Evidence good = cranks({}, 88, 2);  // of the engine before it failed: it stands beside both stages and is neither
  good.logs.front().stage = Stage::good;
  for (const Evidence& none : {Evidence{}, good}) {
    EXPECT_NE(refusal(none, cranks({}, 88, 1)).find("no log from before it"), std::string::npos);
    EXPECT_NE(refusal(cranks({}, 88, 1), none).find("no log from after it"), std::string::npos);
  }
}

}  // namespace
}  // namespace railseep
