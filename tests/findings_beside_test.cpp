// What a circuit with a fault would have shown in checks and air tests, beside what was found.
#include <gtest/gtest.h>

#include <cmath>

#include "circuit/circuit_file.hpp"
#include "evidence/observed_and_predicted.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

const Circuit& valley() {
  static const Circuit circuit = read_circuit(RAILSEEP_SOURCE_DIR "/models/valley_v8.json");
  return circuit;
}

AirFindings heard_everywhere(HeardWord word) {
  AirFindings test;
  test.done.energise = Energised::no;
  for (const HeardPoint& point : air_test(valley(), test.done).open.heard) test.heard.push_back({point.name, word});
  test.flows = {{1e-3}};
  test.decays = {{}};
  test.decays[0].time = 10;
  return test;
}

// A law: the words found are weighed with exactly the probabilities shown, so their logarithms add up to what the match
// takes.
TEST(FindingsBeside, ShownProbabilitiesAreThoseTheMatchWeighs) {
  Observations seen;
  AirFindings test = heard_everywhere(HeardWord::clear);
  test.flows.clear(), test.decays.clear();
  seen.air = {test};
  for (const InspectionKind& kind : inspection_kinds())
    if (!kind.at_place && kind.word != "coil resistance") seen.checks.push_back({kind.word, true, {}, {}});
  const Fault fault = parse_fault("left rail front end plug: hole 0.5 mm", valley());
  const Circuit faulty = with_faults(valley(), {&fault, 1});
  double sum = 0;
  for (const ObservedAndPredicted& line : observed_and_predicted(seen, faulty, {&fault, 1}))
    sum += std::log(line.probability.value());
  EXPECT_GT(seen.air[0].heard.size(), 2u);
  EXPECT_NEAR(sum, place_log_likelihood(seen, faulty, {&fault, 1}), 1e-9);
}

// A larger hole passes more air and hisses no more softly: continuity.
TEST(FindingsBeside, LargerLeakIsExpectedLouderFasterAndWithMoreFlow) {
  Observations seen;
  seen.air = {heard_everywhere(HeardWord::silent)};
  std::optional<double> flow, fall;
  for (const char* size : {"0.3 mm", "1.2 mm"}) {
    const Fault fault = parse_fault(std::string("left rail front end plug: hole ") + size, valley());
    const auto lines = observed_and_predicted(seen, with_faults(valley(), {&fault, 1}), {&fault, 1});
    const ObservedAndPredicted &fell = lines[lines.size() - 2], &metered = lines.back();
    EXPECT_DOUBLE_EQ(metered.read.value(), 1e-3);
    EXPECT_DOUBLE_EQ(fell.read.value(), 10);
    if (flow) {
      EXPECT_GT(metered.computed.value(), *flow);
    }
    if (fall) {
      EXPECT_LT(fell.computed.value(), *fall);
    }
    flow = metered.computed, fall = fell.computed;
  }
  EXPECT_TRUE(fall);
}

TEST(FindingsBeside, FindingOfAPassThatWasNotDoneIsRefused) {
  Observations seen;
  seen.air = {heard_everywhere(HeardWord::silent)};
  seen.air[0].heard[0].energised = true;
  EXPECT_THROW(observed_and_predicted(seen, valley(), std::span<const Fault>{}), Error);
}

}  // namespace
}  // namespace railseep
