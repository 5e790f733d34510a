// The crank: what technicians see on every engine of this kind must come out of the model ("common practice, no
// source"), and how a crank is asked for.

#include "procedure/crank.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <sstream>

#include "circuit/faults.hpp"
#include "fluid/grade.hpp"
#include "log/trace_csv.hpp"
#include "procedure/cranking.hpp"
#include "shipped_circuits.hpp"
#include "units.hpp"
#include "words/shown_units.hpp"

namespace railseep {
namespace {

constexpr double hot = 363.15, cold = 293.15;  // [K]

struct Outcome {
  Trace trace;
  CrankSummary summary;
};

Outcome cranked(const Circuit& healthy, double oil_temperature, double speed_rpm, const std::string& fault = "",
                double seconds = 6) {
  const Circuit circuit = fault.empty() ? healthy : with_faults(healthy, std::vector{parse_fault(fault, healthy)});
  Condition condition;
  condition.oil_temperature = oil_temperature;
  condition.speed = Profile(speed_rpm * rpm);
  CrankOptions options;
  options.duration = seconds;
  Outcome outcome;
  outcome.trace = crank(circuit, condition, options).trace;
  outcome.summary = summarise(circuit, outcome.trace);
  return outcome;
}

std::string hole(double diameter) {
  return "left rail front end plug: hole " + write_quantity(diameter, Quantity::length, "mm");
}

/// Hole above which injection stays off for so long, hot at 170 rpm [m].
double critical_hole(const Circuit& circuit, double seconds) {
  double starts = 0.1e-3, fails = 1.5e-3;
  while (fails - starts > 0.5e-6) {
    const double middle = 0.5 * (starts + fails);
    (cranked(circuit, hot, 170, hole(middle), seconds).summary.injection_enabled ? starts : fails) = middle;
  }
  return fails;
}

// Common practice, no source: a healthy engine passes 500 psi within a few seconds of cranking, the regulator far from
// its ceiling.
TEST(Crank, HealthyEngineComesUpInAFewSeconds) {
  for (const Circuit& circuit : {valley_v8(), inline_six()})
    for (const double temperature : {cold, hot})
      for (const double speed : {150.0, 170.0, 200.0}) {
        SCOPED_TRACE(circuit.name + " at " + std::to_string(temperature) + " K, " + std::to_string(speed) + " rpm");
        const Outcome run = cranked(circuit, temperature, speed);
        ASSERT_TRUE(run.summary.time_to_enable);
        EXPECT_LT(*run.summary.time_to_enable, 5);
        EXPECT_TRUE(run.summary.injection_enabled);
        EXPECT_LT(run.summary.duty, 0.6);
        EXPECT_GT(run.summary.plateau, 500 * psi);
      }
}

// Common practice, no source: a hole near 0.4 to 0.6 mm is what stops a warm engine; pressure hangs under 500 psi, duty
// at its ceiling.
TEST(Crank, AHoleNearHalfAMillimetreStopsTheWarmEngine) {
  const Circuit circuit = valley_v8();
  const double critical = critical_hole(circuit, 10);
  RecordProperty("critical_hole_mm", std::to_string(critical * 1e3));
  EXPECT_GT(critical, 0.4e-3);
  EXPECT_LT(critical, 0.6e-3);

  const Outcome above = cranked(circuit, hot, 170, hole(critical + 2e-6), 10);
  EXPECT_FALSE(above.summary.injection_enabled);
  EXPECT_LT(above.summary.peak, circuit.control.enable_pressure);
  EXPECT_GT(above.summary.plateau, 400 * psi);
  EXPECT_GT(above.summary.duty, 0.995 * circuit.control.most_duty);
}

// Common practice, no source: starts cold, will not start hot. Clearances leak with pressure over viscosity.
TEST(Crank, AWornSealStartsColdAndFailsHot) {
  for (const auto& [circuit, fault] : {std::pair{valley_v8(), "left rail front end plug: gap 80 um"},
                                       std::pair{inline_six(), "manifold front end plug: gap 80 um"}}) {
    EXPECT_TRUE(cranked(circuit, cold, 170, fault, 10).summary.injection_enabled) << circuit.name;
    EXPECT_FALSE(cranked(circuit, hot, 170, fault, 10).summary.injection_enabled) << circuit.name;
  }
}

// Common practice, no source: the plateau of a worn pump rises in proportion to cranking speed, that of a hole with its
// square.
TEST(Crank, WearAndHoleAnswerToSpeedDifferently) {
  const Circuit circuit = valley_v8();
  const auto exponent = [&](const std::string& fault) {
    const double slow = cranked(circuit, hot, 120, fault, 10).summary.plateau,
                 fast = cranked(circuit, hot, 200, fault, 10).summary.plateau;
    EXPECT_LT(fast, circuit.control.enable_pressure) << fault;
    return std::log(fast / slow) / std::log(200.0 / 120.0);
  };
  const double wear = exponent("high-pressure pump: wear 20 x"), leak = exponent("left rail front end plug: hole 1 mm");
  RecordProperty("exponent_of_wear", std::to_string(wear));
  RecordProperty("exponent_of_hole", std::to_string(leak));
  EXPECT_NEAR(wear, 1, 0.1);
  EXPECT_NEAR(leak, 2, 0.3);
}

// Common practice, no source: with a regulator that cannot shut, more duty changes nothing once it is shut as far as
// it goes; of a sound one it does.
TEST(Crank, AStuckRegulatorHoldsThePressureDownAtFullDuty) {
  const Circuit circuit = valley_v8();
  const auto plateau_at = [&](const Circuit& engine, double duty) {
    Condition condition;
    condition.oil_temperature = hot, condition.speed = Profile(170 * rpm);
    CrankOptions options;
    options.duty = Profile(duty);
    return summarise(engine, crank(engine, condition, options).trace).plateau;
  };
  const Circuit stuck = with_faults(circuit, std::vector{parse_fault("pressure regulator: stuck open 10 %", circuit)});
  EXPECT_NEAR(plateau_at(stuck, 0.8) / plateau_at(stuck, 0.5), 1, 0.01);
  EXPECT_GT(plateau_at(circuit, 0.5), 1.2 * plateau_at(circuit, 0.3));
  const Outcome run = cranked(circuit, hot, 170, "pressure regulator: stuck open 10 %", 10);
  EXPECT_FALSE(run.summary.injection_enabled);
  EXPECT_GT(run.summary.duty, 0.995 * circuit.control.most_duty);
}

// "0 to 200 psi, late" with hardly any oil to the pump (trade notes, fault F23), and never enough to start: the air in
// it is squeezed and expands again. Both circuits draw from a tank at 15 psi; air alone would reach 29.7 psi*(1 +
// 1/0.3) - 14.7 = 114 psi there.
TEST(Crank, APumpThatDrawsLittleButAirMakesHardlyAnyPressure) {
  for (const Circuit& circuit : {valley_v8(), inline_six()})
    for (const double temperature : {cold, hot}) {
      const Outcome run = cranked(circuit, temperature, 170, "supply: low supply 97 %", 15);
      EXPECT_LT(run.summary.peak, 200 * psi) << circuit.name;
      EXPECT_LT(cranked(circuit, temperature, 170, "supply: low supply 99 %", 15).summary.peak, run.summary.peak);
    }
}

TEST(Crank, ModuleActsAtItsSampleTimesAndSolverStopsAtEveryBend) {
  const Circuit circuit = valley_v8();
  Condition condition;
  condition.speed = Profile({0, 0.0234, 0.05}, {10, 18, 17});
  CrankOptions options;
  options.duration = 0.063;
  Cranking cranking(circuit, condition, options);
  ControlModule module(circuit.control, condition.oil_temperature);
  const Network::State state = cranking.start();
  const std::vector<double> stops{0.01, 0.02, 0.0234, 0.03, 0.04, 0.05, 0.06, 0.063};
  double t = 0, duty = 0;
  for (const double expected : stops) {
    cranking.sample(t, state);
    if (std::abs(t - 0.0234) > 1e-9) duty = module.sample(cranking.shown(state));  // a bend is no sample
    EXPECT_EQ(cranking.side().duty(t), duty) << t;
    t = cranking.next_stop(t);
    EXPECT_NEAR(t, expected, 1e-15);
  }
}

TEST(Crank, MeasuredDutyTakesThePlaceOfTheModule) {
  const Circuit circuit = valley_v8();
  Condition condition;
  condition.oil_temperature = hot;
  condition.speed = Profile({0, 1, 3}, {100 * rpm, 180 * rpm, 160 * rpm});
  CrankOptions options;
  options.duration = 3;
  options.duty = Profile({0, 1.234, 2}, {0.2, 0.3, 0.25});
  const Trace trace = crank(circuit, condition, options).trace;
  for (std::size_t i = 0; i < trace.time.size(); ++i) {
    EXPECT_NEAR(trace.find(signal::regulator_duty).value[i], options.duty->at(trace.time[i]), 1e-12);
    EXPECT_NEAR(trace.find(signal::engine_speed).value[i], condition.speed.at(trace.time[i]), 1e-12);
  }
}

// The module's own duties played back as a measured one, in steps too steep to matter, give the module's pressures.
TEST(Crank, RecordedDutyPlayedBackGivesTheSamePressures) {
  const Circuit circuit = valley_v8();
  Condition condition;
  condition.oil_temperature = hot;
  condition.speed = Profile(170 * rpm);
  CrankOptions options;
  options.duration = 2;
  for (int i = 0; i <= 400; ++i) options.output_times.push_back(std::min(2.0, 0.005 * i + 0.0001 * (i % 2)));
  const Trace first = crank(circuit, condition, options).trace;
  std::vector<double> times{0}, duty{first.find(signal::regulator_duty).value[0]};
  for (std::size_t i = 2; i < first.time.size(); i += 2) {
    const double next = first.find(signal::regulator_duty).value[std::min(i + 1, first.time.size() - 1)];
    times.insert(times.end(), {first.time[i] - 1e-7, first.time[i] + 1e-7});
    duty.insert(duty.end(), {duty.back(), next});
  }
  options.duty = Profile(times, duty);
  const Trace second = crank(circuit, condition, options).trace;
  for (std::size_t i = 0; i < first.time.size(); ++i)
    EXPECT_NEAR(second.find(signal::rail_pressure).value[i], first.find(signal::rail_pressure).value[i],
                1e-4 * (first.find(signal::rail_pressure).value[i] + 1e5))
        << first.time[i];
}

// A gauge open to the air shows nothing: at rest the true and the shown pressure are both 0. On a plateau a sensor
// without error shows the true one.
TEST(Crank, TrueAndShownPressureAgreeAtRestAndOnThePlateau) {
  CrankOptions moment;
  moment.duration = 0.05;
  for (const std::string& path : shipped_circuits()) {
    const Trace trace = crank(read_circuit(path), {}, moment).trace;
    EXPECT_NEAR(trace.find(signal::rail_pressure).value.front(), 0, 1) << path;
    EXPECT_NEAR(trace.find(signal::shown_pressure).value.front(), 0, 1) << path;
  }
  CrankOptions options;
  options.duration = 6, options.tolerance = 1e-4;
  const Trace trace = crank(inline_six(), {}, options).trace;
  double apart = 0, count = 0;
  for (std::size_t i = 0; i < trace.time.size(); ++i)
    if (trace.time[i] > 4)
      apart += trace.find(signal::rail_pressure).value[i] - trace.find(signal::shown_pressure).value[i], count += 1;
  EXPECT_NEAR(apart / count, 0, 2e4);
}

TEST(Crank, BalanceAccountsForAllThatThePumpDisplaces) {
  const Circuit healthy = valley_v8();
  const Circuit circuit = with_faults(healthy, std::vector{parse_fault(hole(0.8e-3), healthy)});
  const Trace trace = cranked(healthy, hot, 170, hole(0.8e-3), 10).trace;
  const OilBalance oil = balance(circuit, trace);
  // Wilson's slip at the pressure at the end; the supply stands at 15 psi.
  const Ports<double> pump{
      atmospheric_pressure + 15 * psi, atmospheric_pressure + trace.find("pump outlet pressure").value.back(), {0, 0}};
  const double slip = std::get<Pump>(circuit.links[circuit.only<Pump>()].element)
                          .slipped(pump, oil_at(find_oil_grade(circuit.oil), hot));
  // And what is not drawn because the supply's half per cent of air, taken at the atmosphere, expands in the dead
  // volume of 30 %: isothermal, by hand.
  const double halved = atmospheric_pressure / pump.from, air = 0.005 * halved / (0.995 + 0.005 * halved);
  const double not_drawn = oil.displaced * 0.3 * (1 / (1 - air + air * pump.from / pump.to) - 1);
  EXPECT_NEAR(oil.slip, slip + not_drawn, 2e-3 * slip);
  double used = 0;
  bool leak_listed = false;
  for (const OilBalance::Share& use : oil.uses)
    used += use.flow, leak_listed |= use.name == "left rail front end plug: hole";
  EXPECT_TRUE(leak_listed);
  EXPECT_NEAR(oil.displaced, 7e-6 / (2 * std::numbers::pi) * 170 * rpm, 1e-9 * oil.displaced);
  // At the plateau nothing fills: what is left is the compression of the oil, p/K.
  EXPECT_LT(std::abs(oil.displaced - oil.slip - used), 0.005 * oil.displaced);
  EXPECT_NEAR(oil.stored, oil.displaced - oil.slip - used, 1e-12 * oil.displaced);
}

// Law: the mean of a straight rise over its last fifth is nine tenths of its end.
TEST(Crank, PlateauIsTheMeanOfTheLastFifth) {
  Trace rise;
  TraceChannel shown{std::string(signal::shown_pressure), Quantity::pressure, {}},
      duty{std::string(signal::regulator_duty), Quantity::ratio, {}};
  for (int i = 0; i <= 10000; ++i)
    rise.time.push_back(1e-3 * i), shown.value.push_back(1e3 * i), duty.value.push_back(5e-5 * i);
  rise.channels = {shown, duty};
  const CrankSummary summary = summarise(valley_v8(), rise);
  EXPECT_NEAR(summary.plateau, 9e6, 2e3);
  EXPECT_NEAR(summary.duty, 0.45, 1e-4);
  EXPECT_EQ(summary.peak, 1e7);
}

TEST(Crank, PressureOnlyKeepsTheSameShownPressure) {
  const Circuit circuit = inline_six();
  Condition condition;
  condition.speed = Profile(170 * rpm);
  CrankOptions all, few;
  few.pressure_only = true;
  const Trace a = crank(circuit, condition, all).trace, b = crank(circuit, condition, few).trace;
  EXPECT_EQ(b.channels.size(), 1u);
  EXPECT_EQ(a.find(signal::shown_pressure).value, b.find(signal::shown_pressure).value);
}

TEST(Crank, TraceCsvReadsBack) {
  const Outcome run = cranked(valley_v8(), hot, 170, hole(0.5e-3), 1);
  for (const char* words : {"psi degC cm3/s", "bar degF L/min", "MPa"}) {
    const ShownUnits units = parse_units(words, {});
    std::istringstream csv(trace_csv(run.trace, [&units](Quantity quantity) { return units.unit(quantity); }));
    std::string line, cell;
    std::getline(csv, line);
    std::istringstream header(line);
    std::vector<std::pair<std::string, std::string>> columns;  // name, unit
    while (std::getline(header, cell, ',')) {
      const std::size_t bracket = cell.find(" [");
      ASSERT_NE(bracket, std::string::npos) << cell;
      columns.emplace_back(cell.substr(0, bracket), cell.substr(bracket + 2, cell.size() - bracket - 3));
    }
    ASSERT_EQ(columns.size(), run.trace.channels.size() + 1);
    EXPECT_EQ(columns[0], std::pair(std::string("time"), std::string("s")));
    for (std::size_t row = 0; row < run.trace.time.size(); ++row) {
      ASSERT_TRUE(std::getline(csv, line));
      std::istringstream cells(line);
      for (std::size_t i = 0; i < columns.size(); ++i) {
        ASSERT_TRUE(std::getline(cells, cell, ','));
        const double si = i == 0 ? run.trace.time[row] : run.trace.channels[i - 1].value[row];
        const Quantity quantity = i == 0 ? Quantity::time : run.trace.channels[i - 1].quantity;
        EXPECT_EQ(columns[i].first, i == 0 ? "time" : run.trace.channels[i - 1].name);
        EXPECT_NEAR(parse_quantity(cell + " " + columns[i].second, quantity), si, 1e-6 * std::abs(si) + 1e-12)
            << columns[i].first;
      }
    }
    EXPECT_FALSE(std::getline(csv, line));
  }
}

// RFC 4180: a cell with a comma, a quote or a line break stands in quotes, a quote in it is doubled.
TEST(Crank, TraceCsvKeepsNamesWithCommasInOneColumn) {
  const Trace trace{{0, 1},
                    {{"manifold, front pressure", Quantity::pressure, {1e5, 2e5}},
                     {"the \"old\" hose, piece 2 flow", Quantity::volume_flow, {1e-6, 2e-6}},
                     {"plain", Quantity::ratio, {0.5, 1}}}};
  const ShownUnits units = parse_units("MPa", {});
  const std::string text = trace_csv(trace, [&units](Quantity quantity) { return units.unit(quantity); });
  EXPECT_EQ(text.substr(0, text.find('\n')),
            R"(time [s],"manifold, front pressure [MPa]","the ""old"" hose, piece 2 flow [cm3/s]",plain [%])");
  EXPECT_EQ(text.substr(text.find('\n') + 1), "0,0.1,1,50\n1,0.2,2,100\n");
}

/// A pump of 20 cm3/s at its speed that presses all its oil through one hole; the sensor sits between.
Circuit pump_and_hole(double diameter, double speed = 170 * rpm) {
  Circuit circuit;
  circuit.name = "pump and hole", circuit.oil = "15W-40";
  circuit.nodes.resize(2);
  circuit.nodes[0].name = "sump", circuit.nodes[0].tank = true;
  circuit.nodes[1].name = "manifold", circuit.nodes[1].volume = 1e-4;
  Pump pump;
  pump.displacement = 20e-6 / speed, pump.slip = 0;
  circuit.links = {{"pump", 0, 1, pump, "", 0, {}, ""},
                   {"way out", 1, 0, Hole{diameter}, "", 0, {}, ""},
                   {"sensor", 1, 0, Sensor{}, "", 0, {}, ""}};
  circuit.control.wanted_pressure = {{273.15, 5e6}};
  return circuit;
}

std::string crank_trouble(const Circuit& circuit, double oil_temperature = hot) {
  Condition condition;
  condition.oil_temperature = oil_temperature;
  condition.speed = Profile(170 * rpm);
  return error_of([&] { crank(circuit, condition); });
}

// dp = rho/2*(Q/(Cd*A))^2: some 23 MPa through 0.42 mm; 1.4 GPa through 0.15 mm, or 0.8 GPa where a quarter of the
// volume is compressed away. The solver has no trouble there, and nothing holds it.
TEST(Crank, RefusesAPressureThatNoCircuitHolds) {
  EXPECT_EQ(crank_trouble(pump_and_hole(0.42e-3)), "");
  const std::string message = crank_trouble(pump_and_hole(0.15e-3));
  EXPECT_NE(message.find("the pressure of \"manifold\" has run away to"), std::string::npos) << message;
}

// Half a million piston strokes a second into 0.001 cm3: each is a swing of pressure that takes dozens of steps, so 6 s
// would take some 1e8.
TEST(Crank, GivesUpOnWhatAsksForStepsWithoutEnd) {
  const double speed = 5e5 * 2 * std::numbers::pi / 7;
  Circuit circuit = pump_and_hole(0.42e-3, speed);
  circuit.nodes[1].volume = 1e-9;
  Condition condition;
  condition.speed = Profile(speed);
  CrankOptions options;
  options.ripple = true;
  const std::string message = error_of([&] { crank(circuit, condition, options); });
  EXPECT_NE(message.find("\"manifold (oil)\" asks for steps of"), std::string::npos) << message;
}

// A size that no file can hold stands for a law that gives no number.
TEST(Crank, NamesTheLinkThatGivesNoNumber) {
  Circuit circuit = pump_and_hole(0.5e-3);
  circuit.links.push_back({"broken law", 1, 0, Gap{std::nan(""), 1e-5, 1e-3, 0, 1}, "", 0, {}, ""});
  EXPECT_EQ(crank_trouble(circuit),
            "t = 0.000000 s: the flow of \"broken law\" or its slope is not a number; look at the sizes there and at "
            "the volumes that it joins.");
}

TEST(Crank, SaysWhatIsMissing) {
  Circuit circuit = valley_v8();
  Condition condition;
  condition.speed = Profile(170 * rpm);
  condition.oil = "15W-50";
  EXPECT_NE(error_of([&] { crank(circuit, condition); }).find("15W-50"), std::string::npos);
  condition.oil.clear();
  condition.rest_air = 1.5;
  EXPECT_NE(error_of([&] { crank(circuit, condition); }).find("150 %"), std::string::npos);
  condition.rest_air = 0.03;
  std::erase_if(circuit.links, [](const Link& link) { return std::holds_alternative<Sensor>(link.element); });
  EXPECT_EQ(error_of([&] { crank(circuit, condition); }),
            "valley V8: the circuit has no pressure sensor; add a link of kind \"sensor\".");
}

}  // namespace
}  // namespace railseep
