#include "procedure/air_findings.hpp"

#include <gtest/gtest.h>

#include "circuit/circuit_file.hpp"
#include "circuit/faults.hpp"
#include "quantity/error.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

Circuit with(const std::string& fault) {
  const Circuit healthy = valley_v8();
  const std::vector<Fault> faults{parse_fault(fault, healthy)};
  return with_faults(healthy, faults);
}

TEST(AirFindings, WordsShareOutAllProbability) {
  for (const double audibility : {-40.0, -3.0, 4.0, 18.0, 60.0}) {
    double sum = 0;
    for (int i = 0; i < 4; ++i) sum += word_probability(static_cast<HeardWord>(i), audibility);
    EXPECT_NEAR(sum, 1, 1e-12) << audibility;
  }
}

TEST(AirFindings, NeighbouringWordsAreConfusedFarOnesHardly) {
  const double at = 12;  // just clear
  EXPECT_GT(word_probability(HeardWord::clear, at), word_probability(HeardWord::faint, at));
  EXPECT_GT(word_probability(HeardWord::faint, at), 0.2);
  EXPECT_LT(word_probability(HeardWord::silent, at), 0.02);
  EXPECT_GT(word_probability(HeardWord::silent, at), 0.005);  // a slip is never impossible
}

AirFindings findings_of(const Circuit& circuit) {
  AirFindings findings;
  const AirTestResult result = air_test(circuit, findings.done);
  for (const HeardPoint& point : result.open.heard) findings.heard.push_back({point.name, point.heard, false});
  for (const HeardPoint& point : result.shut->heard) findings.heard.push_back({point.name, point.heard, true});
  if (result.open.decay)
    findings.decays.push_back({findings.done.hold_from, findings.done.hold_to, *result.open.decay, true, false});
  return findings;
}

// The bank that leaks is the likelier one, by far; the other side and the valley are not.
TEST(AirFindings, SayWhichBankLeaks) {
  const Circuit left = with("left rail front end plug: hole 0.6 mm");
  const AirFindings findings = findings_of(left);
  const double here = log_likelihood(findings, left);
  for (const char* other : {"right rail front end plug: hole 0.6 mm", "branch tube seat: hole 0.6 mm",
                            "left stand tube bottom seal: hole 0.6 mm"})
    EXPECT_GT(here, log_likelihood(findings, with(other)) + 4) << other;
}

// Two plugs of one rail sound alike: nobody can tell them apart so.
TEST(AirFindings, DoNotTellPlugsOfOneRailApart) {
  const Circuit front = with("left rail front end plug: hole 0.6 mm");
  const AirFindings findings = findings_of(front);
  EXPECT_NEAR(log_likelihood(findings, front), log_likelihood(findings, with("left rail rear end plug: hole 0.6 mm")),
              0.05);
}

TEST(AirFindings, TimedFallTellsASmallLeakFromABigOne) {
  AirFindings findings;
  const Circuit big = with("left rail front end plug: hole 1.5 mm");
  const AirTestResult result = air_test(big, findings.done);
  ASSERT_TRUE(result.open.decay);
  findings.decays.push_back({findings.done.hold_from, findings.done.hold_to, *result.open.decay, true, false});
  EXPECT_GT(log_likelihood(findings, result), log_likelihood(findings, valley_v8()) + 1.5);
}

TEST(AirFindings, FlowFavoursTheCircuitThatPassesIt) {
  AirFindings findings;
  const Circuit leaking = with("left rail front end plug: hole 1.5 mm");
  const AirTestResult result = air_test(leaking, findings.done);
  findings.flows.push_back({standard_flow(result.open.supplied), false});
  EXPECT_GT(log_likelihood(findings, result), log_likelihood(findings, valley_v8()) + 1);
}

TEST(AirFindings, NotFallenSpeaksForATightCircuit) {
  AirFindings findings;
  findings.decays.push_back({findings.done.hold_from, findings.done.hold_to, 30, false, false});
  Circuit tight = valley_v8();
  for (Link& link : tight.links)
    if (std::holds_alternative<Injector>(link.element)) set_parameter(link.element, "clearance", 2e-6);
  EXPECT_GT(log_likelihood(findings, tight), log_likelihood(findings, valley_v8()) + 2);
}

TEST(AirFindings, UnknownPlaceAndMissingPassAreErrors) {
  AirFindings findings;
  findings.heard.push_back({"left fender", HeardWord::loud, false});
  EXPECT_THROW(log_likelihood(findings, valley_v8()), Error);
  findings.heard = {{"left cover", HeardWord::loud, true}};
  findings.done.energise = Energised::no;
  EXPECT_THROW(log_likelihood(findings, valley_v8()), Error);
}

}  // namespace
}  // namespace railseep
