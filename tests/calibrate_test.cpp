// A circuit fitted to known-good logs: made-up ones of an engine whose numbers are known.
#include "after/calibrate.hpp"

#include <gtest/gtest.h>

#include "full_match.hpp"
#include "made_up_log.hpp"
#include "match/match.hpp"
#include "quantity/error.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

constexpr double true_displacement = 1.05, true_slope = 0.9;  // times the circuit file's

Circuit engine() {
  Circuit circuit = inline_six();
  for (Link& link : circuit.links) {
    if (Pump* pump = std::get_if<Pump>(&link.element)) pump->displacement *= true_displacement;
    if (Regulator* regulator = std::get_if<Regulator>(&link.element)) regulator->pressure_slope *= true_slope;
  }
  return circuit;
}

std::vector<CrankEvidence> good_logs() {
  return {made_up_log(engine(), {.name = "cold", .celsius = 18, .rpm = 150, .rate = 8, .seed = 3}),
          made_up_log(engine(), {.name = "hot", .celsius = 86, .rpm = 175, .rate = 8, .seed = 4}),
          made_up_log(engine(), {.name = "hot slow", .celsius = 88, .rpm = 120, .rate = 8, .seed = 5})};
}

const CalibratedNumber& number(const Calibration& calibration, const std::string& part) {
  return *std::ranges::find_if(calibration.numbers,
                               [&](const CalibratedNumber& n) { return n.name.find(part) != std::string::npos; });
}

TEST(Calibrate, FindsTheRegulatorOfAGoodEngineAndNarrows) {
  FULL_MATCH;
  const Calibration calibration = calibrate(inline_six(), good_logs());
  EXPECT_TRUE(calibration.believable);
  const CalibratedNumber& displacement = number(calibration, "displacement");
  EXPECT_LT(displacement.low, true_displacement * displacement.before);
  EXPECT_GT(displacement.high, true_displacement * displacement.before);
  // While it regulates, a good engine's pressure tells of the regulator and hardly of the pump.
  const CalibratedNumber& slope = number(calibration, "pressure_slope");
  EXPECT_LT(slope.low, true_slope * slope.before);
  EXPECT_GT(slope.high, true_slope * slope.before);
  EXPECT_LT(slope.spread, 0.7 * slope.spread_before);
  // Where the logs tell that much, the value itself must move: at least half of the way to the truth.
  EXPECT_LT(std::abs(slope.after - true_slope * slope.before),
            0.5 * std::abs(slope.before - true_slope * slope.before));
  for (const CalibratedNumber& n : calibration.numbers) EXPECT_LE(n.spread, n.spread_before * 1.001) << n.name;
  // The spread that is kept is that of the interval: 1.645 deviations of ln(number) to either end.
  for (const CalibratedNumber& n : calibration.numbers)
    EXPECT_NEAR(std::log(n.high / n.low), 2 * 1.645 * n.spread, 1e-6) << n.name;
}

TEST(Calibrate, WritesACircuitThatReadsBackWithItsProvenance) {
  FULL_MATCH;
  const Calibration calibration = calibrate(inline_six(), good_logs());
  const Circuit back = parse_circuit(circuit_text(calibration.circuit), "calibrated.json");
  const int pump = back.only<Pump>();
  EXPECT_NEAR(std::get<Pump>(back.links[pump].element).displacement, number(calibration, "displacement").after,
              1e-3 * number(calibration, "displacement").after);
  const Provenance& provenance = back.links[pump].provenance.at("displacement");
  EXPECT_NE(provenance.source.find("calibrated from 3 logs"), std::string::npos);
  EXPECT_NEAR(provenance.spread, number(calibration, "displacement").spread, 1e-3);
}

// What the good logs told makes the next match surer: the same faulty log, matched against the circuit before and
// after.
TEST(Calibrate, NarrowsTheNextMatch) {
  FULL_MATCH;
  const Evidence faulty{
      {made_up_log(with_faults(engine(), std::vector{parse_fault("jumper tube 4 seal: hole 0.7 mm", engine())}),
                   {.name = "hot", .celsius = 88, .seed = 9})},
      {}};
  Priors holes = read_priors(source_file("models/priors.json"));
  for (auto& [kind, weight] : holes) weight = kind == "hole" ? 1 : 0;
  const auto interval = [&](const Circuit& circuit) {
    const MatchResult result = match(circuit, faulty, holes);
    const FaultFit& fit = *std::ranges::find_if(
        result.fits, [](const FaultFit& f) { return f.candidate.title().find("jumper tube") != std::string::npos; });
    return fit.severities.front();
  };
  const Severity before = interval(inline_six()), after = interval(calibrate(inline_six(), good_logs()).circuit);
  // By a tenth at least; how much it can be depends on what the pump's displacement has to do with a hole's flow.
  EXPECT_LT(after.high - after.low, 0.9 * (before.high - before.low));
  EXPECT_LT(after.low, 0.7e-3);
  EXPECT_GT(after.high, 0.7e-3);
}

TEST(Calibrate, DoesNotBelieveThatALeakyEngineIsGood) {
  const Circuit leaky = with_faults(engine(), std::vector{parse_fault("jumper tube 4 seal: hole 1.2 mm", engine())});
  EXPECT_FALSE(calibrate(inline_six(), {made_up_log(leaky, {.name = "hot", .seed = 2})}).believable);
}

TEST(Calibrate, SaysWhatIsMissing) { EXPECT_THROW(calibrate(inline_six(), {}), Error); }

}  // namespace
}  // namespace railseep
