// What was read, heard or checked with no log behind it. Expected probabilities are worked out by hand from the
// definitions; which fault should be likelier is the trade's common practice, without a published source.
#include "evidence/observations.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "circuit/circuit_file.hpp"
#include "procedure/crank.hpp"
#include "procedure/isolate.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

const Circuit& valley() {
  static const Circuit circuit = read_circuit(std::string(RAILSEEP_SOURCE_DIR) + "/models/valley_v8.json");
  return circuit;
}

Situation hot_crank() {
  Situation hot;
  hot.oil_temperature = 363.15;
  return hot;
}

double likelihood(const Observations& seen, const std::vector<Fault>& faults, const Circuit& circuit = valley()) {
  return log_likelihood(seen, with_faults(circuit, faults), faults);
}

const Fault small_leak{"left rail front end plug", "hole", 3e-4}, big_leak{"left rail front end plug", "hole", 1.2e-3};
const Fault no_sync{"engine", "no sync", 0}, no_shots_left{"left injectors", "weak shots", 0},
    no_shots_right{"right injectors", "weak shots", 0};
const Fault reads_too_high{"pressure sensor", "bias", 3.5e6};  // all looks well, and hardly 1.5 MPa is there

TEST(Reading, OfTheComputedValueIsLikelierThanOneAside) {
  Procedures procedures(valley());
  Reading reading{"hot plateau", ChannelKind::rail_pressure, 0, {}, Reading::Part::plateau, 0, true, hot_crank()};
  reading.value = predicted(reading, procedures);
  const double right = log_likelihood(reading, procedures);
  for (const double factor : {0.7, 0.9, 1.1, 1.3}) {
    Reading aside = reading;
    aside.value *= factor;
    EXPECT_LT(log_likelihood(aside, procedures), right) << factor;
  }
}

TEST(Reading, SaidToBeRoughConvictsLess) {
  Procedures procedures(valley());
  Reading sharp{"hot plateau", ChannelKind::rail_pressure, 0, {}, Reading::Part::plateau, 0, true, hot_crank()};
  sharp.value = 0.6 * predicted(sharp, procedures);
  Reading rough = sharp;
  rough.tolerance = 2e6;
  EXPECT_GT(log_likelihood(rough, procedures), log_likelihood(sharp, procedures) + 1);
}

// With the rails plugged more than 1500 psi is expected of a good pump (common practice, no source): whatever such a
// test shows above that speaks for the pump, though the regulator, its coil and the battery set how high it comes.
TEST(Reading, OfAPassedIsolationTestClearsThePump) {
  const std::vector<Fault> worn{{"high-pressure pump", "wear", 16}};
  const Circuit worn_pump = with_faults(valley(), worn);
  Procedures sound(valley()), of_worn(worn_pump);
  Reading reading{"isolation", ChannelKind::rail_pressure, 0, {}, Reading::Part::plateau, 0, true, hot_crank()};
  reading.situation.block = both_rails;
  for (const double psi : {1600, 1900, 2400, 3000}) {
    reading.value = psi * 6894.757293168;
    EXPECT_GT(log_likelihood(reading, sound) - log_likelihood(reading, of_worn), std::log(psi < 1900 ? 3 : 10)) << psi;
  }
  reading.value = 400 * 6894.757293168;
  EXPECT_LT(log_likelihood(reading, sound) - log_likelihood(reading, of_worn), -std::log(10));
}

// Ranges that cover everything a gauge can show hold one reading: their probabilities add up to 1.
TEST(Reading, ToldAsRangesAddsUpToOne) {
  Procedures procedures(valley());
  Reading reading{"hot plateau", ChannelKind::rail_pressure, 0, {}, Reading::Part::plateau, 0, true, hot_crank()};
  const double middle = predicted(reading, procedures);
  const std::vector<double> edges{0.8 * middle, middle, 1.1 * middle};
  double sum = 0;
  for (std::size_t i = 0; i <= edges.size(); ++i) {
    reading.at_least = i > 0 ? std::optional(edges[i - 1]) : std::nullopt;
    reading.at_most = i < edges.size() ? std::optional(edges[i]) : std::nullopt;
    sum += std::exp(log_likelihood(reading, procedures));
  }
  EXPECT_NEAR(sum, 1, 2e-3);
}

// A slip falls anywhere in the range with 3 %: ln(0.03/30 MPa) is the least a pressure can get.
TEST(Reading, WildValueCostsNoMoreThanASlip) {
  Procedures procedures(valley());
  const Reading wild{"typed in kPa", ChannelKind::rail_pressure, 2.9e7, {}, Reading::Part::plateau, 0, true,
                     hot_crank()};
  EXPECT_NEAR(log_likelihood(wild, procedures), std::log(0.03 / 3e7), 1e-9);
}

TEST(Reading, SensorVoltsAtRestShowItsBias) {
  Situation key_on;
  key_on.done = Situation::Done::key_on;
  Observations seen;
  seen.readings.push_back({"key on",
                           ChannelKind::rail_pressure_volts,
                           0.24 + 1.5e6 / 6.157e6,
                           {},
                           Reading::Part::plateau,
                           0,
                           true,
                           key_on});
  EXPECT_GT(likelihood(seen, {{"pressure sensor", "bias", 1.5e6}}), likelihood(seen, {}) + 2);
  EXPECT_NEAR(likelihood(seen, {big_leak}), likelihood(seen, {}), 1e-12) << "a leak does not move a sensor at rest";
}

TEST(Reading, GaugeOnTheGalleryShowsTheLubePumpsRelief) {
  const Circuit circuit = read_circuit(std::string(RAILSEEP_SOURCE_DIR) + "/models/head_rail_v8.json");
  Observations seen;
  seen.readings.push_back(
      {"gauge", ChannelKind::base_oil_pressure, 0.0, {}, Reading::Part::plateau, 0, true, hot_crank()});
  EXPECT_GT(likelihood(seen, {{"lube pump", "relief stuck", 1}}, circuit), likelihood(seen, {}, circuit) + 1);
}

TEST(Reading, IsolatedPumpIsClearedByAHighPressure) {
  Situation isolated = hot_crank();
  isolated.block = "rails";
  Observations seen;
  Procedures healthy(valley());
  Reading reading{"rails blocked", ChannelKind::rail_pressure, 0, {}, Reading::Part::plateau, 0, true, isolated};
  reading.value = predicted(reading, healthy);
  EXPECT_GT(reading.value, 1500 * 6894.757)
      << "more than 1500 psi is expected of a good pump: maker's procedure (trade)";
  seen.readings.push_back(reading);
  EXPECT_GT(likelihood(seen, {big_leak}), likelihood(seen, {{"high-pressure pump", "wear", 20}}) + 2)
      << "a leak in a rail is outside the block";
}

TEST(Started, NoStartAtGoodPressureIsNoSmallLeak) {
  Observations seen;
  seen.starts.push_back({"hot", false, hot_crank()});
  const double small = likelihood(seen, {small_leak});
  EXPECT_NEAR(likelihood(seen, {}), 0, 1e-9)
      << "nothing wrong on the oil side: somebody complains, so the trouble is elsewhere for certain";
  EXPECT_NEAR(small, std::log(0.05), 0.05) << "a small leak and a second trouble: the assumed 5 %";
  for (const auto& faults : {std::vector{no_sync}, std::vector{no_shots_left, no_shots_right}, std::vector{big_leak},
                             std::vector{reads_too_high}})
    EXPECT_GT(likelihood(seen, faults), small + 2);
}

TEST(Started, StartClearsWhatWouldHaveKeptItFromStarting) {
  Observations seen;
  seen.starts.push_back({"hot", true, hot_crank()});
  for (const auto& faults : {std::vector{no_sync}, std::vector{no_shots_left, no_shots_right}, std::vector{big_leak}})
    EXPECT_LT(likelihood(seen, faults), likelihood(seen, {small_leak}) - 2);
}

TEST(Started, SlowStarterExplainsANoStartOfAHealthyOilSide) {
  Situation slow = hot_crank();
  slow.speed = 30 * 2 * M_PI / 60;
  Procedures procedures(valley());
  EXPECT_LT(start_probability(procedures, slow), 0.05);
  EXPECT_GT(start_probability(procedures, hot_crank()), 0.95);
}

// By the words of the model: an engine whose spools take less oil a shot than cylinders need begins to miss, so with a
// quarter of it a start is in doubt.
TEST(Started, LittleOilAShotMakesAStartUncertain) {
  const auto chance = [](double share) {
    const Circuit weak = with_faults(valley(), std::vector{Fault{"left injectors", "weak shots", share},
                                                           Fault{"right injectors", "weak shots", share}});
    Procedures procedures(weak);
    return start_probability(procedures, hot_crank());
  };
  EXPECT_GT(chance(0.8), 0.95);
  EXPECT_LT(chance(0.25), 0.8);
  EXPECT_GT(chance(0.25), 0.2);
}

// An engine that fires takes oil; where that does not leave the pressure it needs to go on, it does not start.
TEST(Started, NeedsThePressureToGoOnFiring) {
  Circuit demanding = valley();
  demanding.control.hold_pressure = 2 * demanding.control.enable_pressure + 2e7;
  Procedures procedures(demanding);
  EXPECT_LT(start_probability(procedures, hot_crank()), 0.01);
}

/// Nearly half of the passages ran empty: filling takes a quarter of a minute.
Situation drained() {
  Situation cold;
  cold.rest_air = 0.45;
  cold.speed = 160 * 2 * M_PI / 60;
  return cold;
}

double start_probability_after(double cranked) {
  Situation situation = drained();
  situation.cranked = cranked;
  Procedures procedures(valley());
  return start_probability(procedures, situation);
}

// Filling is volume over flow, so an engine that fires when its passages are full starts when it is cranked so long,
// and not before; how long that is, is as unsure as the volume: with 20 % (circuit files) some 2 standard deviations
// lie between 0.6 or 1.6 times the time and the time itself.
TEST(Started, AfterALongFillWhenItIsCrankedLongEnough) {
  Condition condition = drained().condition();
  CrankOptions options;
  options.duration = 40;
  const double fills = summarise(valley(), crank(valley(), condition, options).trace).time_to_enable.value();
  ASSERT_GT(fills, 6);
  EXPECT_LT(start_probability_after(0.6 * fills), 0.05);
  EXPECT_GT(start_probability_after(1.6 * fills), 0.95);
  EXPECT_NEAR(start_probability_after(fills + 0.2), 0.5, 0.35)
      << "the pressure has only just come: it need not have been there all along";
  double before = 0;
  for (const double share : {0.7, 0.9, 1.1, 1.3}) {
    const double now = start_probability_after(share * fills);
    EXPECT_GE(now, before - 1e-9) << share;
    before = now;
  }
}

TEST(Inspection, EveryRowNamesAFaultThatExists) {
  for (const InspectionKind& kind : inspection_kinds()) {
    EXPECT_GT(kind.false_alarm, 0) << kind.word;
    for (const Seen& seen : kind.sees) {
      const auto known = [&](const FaultKind& fault) {
        return fault.word == seen.fault && (seen.applies_to.empty() || seen.applies_to == fault.applies_to);
      };
      EXPECT_TRUE(seen.fault.empty() || std::ranges::any_of(fault_kinds(), known))
          << kind.word << ": " << seen.fault << " " << seen.applies_to;
    }
  }
}

// "batteries": seen 80 %, false alarm 7 %: bad 1 - 0.93*0.20, else 0.07.
TEST(Inspection, GoodClearsAndBadConvictsByBayes) {
  const Fault slow{"engine", "slow cranking", 0.6};
  Observations bad, good;
  bad.checks.push_back({"batteries", true, "", {}});
  good.checks.push_back({"batteries", false, "", {}});
  EXPECT_NEAR(likelihood(bad, {slow}), std::log(1 - 0.93 * 0.20), 1e-12);
  EXPECT_NEAR(likelihood(bad, {}), std::log(0.07), 1e-12);
  EXPECT_NEAR(likelihood(good, {slow}), std::log(0.93 * 0.20), 1e-12);
  EXPECT_NEAR(likelihood(good, {small_leak}), std::log(0.93), 1e-12);
}

TEST(Inspection, PlaceSeenSoundClearsThatPlaceAlone) {
  Observations seen;
  seen.checks.push_back({"seen", false, "left valve cover", {}});
  EXPECT_NEAR(likelihood(seen, {{"right rail front end plug", "hole", 5e-4}}), std::log(0.95), 1e-12);
  EXPECT_NEAR(likelihood(seen, {small_leak}), std::log(0.95 * (1 - 0.9)), 1e-12);  // of a hole nine in ten are seen
  seen.checks[0].place = "left valve cove";
  EXPECT_THROW(likelihood(seen, {small_leak}), Error);
}

TEST(Inspection, CoilResistanceTellsABrokenWireFromAGoodCoil) {
  Observations good, broken;
  good.checks.push_back({"coil resistance", false, "", 9.3});
  broken.checks.push_back({"coil resistance", false, "", 50000});
  const Fault open{"pressure regulator", "coil open", 5000};
  EXPECT_GT(likelihood(good, {}), likelihood(good, {open}) + 3);
  EXPECT_GT(likelihood(broken, {open}), likelihood(broken, {}) + 2);
}

// Copper has 0.393 % more resistance for each kelvin (IEC 60028): a good coil at its own temperature is as likely as a
// reading can be, and 15 % to either side less so.
TEST(Inspection, AWarmCoilIsReadAtItsWarmResistance) {
  const Regulator& regulator = std::get<Regulator>(valley().links[valley().only<Regulator>()].element);
  const double warm = regulator.resistance * (1 + 0.00393 * (regulator.coil_temperature - 293.15));
  const auto chance = [](double ohms) {
    Observations seen;
    seen.checks.push_back({"coil resistance", false, "", ohms});
    return likelihood(seen, {});
  };
  EXPECT_GT(chance(warm), chance(0.85 * warm) + 0.5);
  EXPECT_GT(chance(warm), chance(1.15 * warm) + 0.5);
}

/// A log of a crank: speed, wanted pressure, and what is given.
Log crank_log(const std::vector<double>& pressure, double duty, bool flagged) {
  Log log;
  const auto channel = [&](ChannelKind kind, auto value) {
    Channel c;
    c.kind = kind;
    for (std::size_t i = 0; i < pressure.size(); ++i)
      c.time.push_back(0.25 * static_cast<double>(i)), c.value.push_back(value(i));
    log.channels.push_back(c);
  };
  channel(ChannelKind::rail_pressure, [&](std::size_t i) { return pressure[i]; });
  channel(ChannelKind::desired_pressure, [](std::size_t) { return 5e6; });
  channel(ChannelKind::regulator_duty, [&](std::size_t) { return duty; });
  channel(ChannelKind::engine_speed, [](std::size_t) { return 18.0; });
  if (flagged) log.channels[0].flags.push_back({FlagKind::substituted, 0, pressure.size() - 1, 0, "flat"});
  return log;
}

TEST(LogSigns, SubstitutedPressureMeansABrokenWire) {
  Observations seen;
  seen.logs.push_back(log_signs(crank_log(std::vector<double>(20, 6e6), 0.4, true), "crank"));
  EXPECT_DOUBLE_EQ(seen.logs[0].substituted, 1);
  seen.logs[0].asleep.reset();
  EXPECT_NEAR(likelihood(seen, {{"pressure sensor", "wire broken", 1}}), std::log(0.97), 1e-12);
  EXPECT_NEAR(likelihood(seen, {big_leak}), std::log(0.01), 1e-12);
}

TEST(LogSigns, DutyAsleepAtLowPressureMeansADeadDriver) {
  Observations asleep, awake;
  asleep.logs.push_back(log_signs(crank_log(std::vector<double>(20, 4e5), 0.05, false), "crank"));
  awake.logs.push_back(log_signs(crank_log(std::vector<double>(20, 4e5), 0.85, false), "crank"));
  const Fault dead{"engine", "driver dead", 0};
  EXPECT_NEAR(likelihood(asleep, {dead}) - likelihood(asleep, {big_leak}), std::log(0.97 / 0.01), 1e-9);
  EXPECT_NEAR(likelihood(awake, {big_leak}) - likelihood(awake, {dead}), std::log(0.99 / 0.03), 1e-9);
}

TEST(LogSigns, PressureMadeByDutyShowsTheDriverAlive) {
  EXPECT_EQ(log_signs(crank_log(std::vector<double>(20, 5e6), 0.31, false), "crank").asleep, std::optional(false));
  EXPECT_EQ(log_signs(crank_log(std::vector<double>(20, 5e6), 0.05, false), "crank").asleep, std::nullopt)
      << "nothing was asked of it";
}

TEST(LogSigns, PressureThatItsVoltsDenyIsMadeUp) {
  Log log = crank_log(std::vector<double>(20, 6e6), 0.4, false);
  Channel volts = log.channels[0];
  volts.kind = ChannelKind::rail_pressure_volts;
  for (double& v : volts.value) v = 0.0;
  log.channels.push_back(volts);
  Observations seen;
  seen.logs.push_back(log_signs(log, "crank"));
  EXPECT_GT(likelihood(seen, {{"pressure sensor", "wire broken", 1}}), likelihood(seen, {}) + 3);
}

TEST(Observations, AirTestIsHeardWhereTheLeakIs) {
  Observations seen;
  AirFindings air;
  air.heard = {{"left cover", HeardWord::loud, true},
               {"right cover", HeardWord::clear, true}};  // healthy injectors hiss as well
  seen.air.push_back(air);
  EXPECT_GT(likelihood(seen, {{"left rail front end plug", "hole", 6e-4}}),
            likelihood(seen, {{"right rail front end plug", "hole", 6e-4}}) + 2);
  EXPECT_EQ(pressure_log_likelihood(seen, valley(), {}), 0);
}

}  // namespace
}  // namespace railseep
