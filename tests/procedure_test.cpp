// Procedures: the story from cold start to hot restart, holding, splitting, stepping, standing.

#include <gtest/gtest.h>

#include <cmath>

#include "circuit/faults.hpp"
#include "procedure/engine_run.hpp"
#include "procedure/idle.hpp"
#include "procedure/isolate.hpp"
#include "procedure/key_off_hold.hpp"
#include "procedure/start_warm_restart.hpp"
#include "procedure/step_test.hpp"
#include "shipped_circuits.hpp"
#include "units.hpp"

namespace railseep {
namespace {

Circuit with(const Circuit& circuit, const char* fault) {
  return with_faults(circuit, std::vector{parse_fault(fault, circuit)});
}

Story tell(const Circuit& circuit) {
  StoryOptions options;
  options.longest_crank = 8, options.idle_cold = 2, options.idle_hot = 2, options.warm_rate = 10,
  options.run.tolerance = 1e-4;
  return start_warm_restart(circuit, Condition{}, options);
}

// Reaches 500 psi in a few seconds, starts, idles, starts again hot: good engines do (workshop manuals).
TEST(Story, AHealthyEngineStartsColdAndHot) {
  for (const Circuit& circuit : {valley_v8(), inline_six(), head_rail_v8()}) {
    const Story story = tell(circuit);
    ASSERT_TRUE(story.first_start) << circuit.name;
    EXPECT_LT(*story.first_start, 5) << circuit.name;
    EXPECT_TRUE(story.idled_cold && story.idled_hot) << circuit.name;
    ASSERT_TRUE(story.restart) << circuit.name;
    EXPECT_LT(*story.restart, 5) << circuit.name;
  }
}

// The classic complaint: one and the same worn seal, cold and hot; with the seal renewed it restarts.
TEST(Story, AWornSealStartsColdIdlesAndCranksWithoutStartingHot) {
  const Circuit circuit = valley_v8();
  for (const char* seal : {"left rail front end plug: gap 36 um", "right stand tube top seal: gap 38 um"}) {
    const Story story = tell(with(circuit, seal));
    ASSERT_TRUE(story.first_start) << seal;
    EXPECT_TRUE(story.idled_cold) << seal;
    EXPECT_TRUE(story.idled_hot) << seal;
    EXPECT_FALSE(story.restart) << seal;
    EXPECT_LT(story.restart_peak, circuit.control.enable_pressure) << seal;
    EXPECT_GT(story.hot_idle_duty, tell(circuit).hot_idle_duty) << seal;
  }
}

// Total hole of 0.5 to 1.0 mm keeps running and will not restart hot (derived in the trade's notes from leak and pump
// flow). Where the limit of starting lies depends on cranking speed: 170 rpm is the trade's usual one, 130 rpm its
// least.
TEST(Story, HolesOfHalfToOneMillimetreKeepRunningAndWillNotRestartHot) {
  const Circuit circuit = valley_v8();
  for (const auto& [size, speed] :
       {std::pair{"0.5", 130.0}, std::pair{"0.65", 170.0}, std::pair{"0.8", 170.0}, std::pair{"1.0", 170.0}}) {
    const Circuit leaking = with(circuit, (std::string("right rail rear end plug: hole ") + size + " mm").c_str());
    Condition hot;
    hot.oil_temperature = 363.15, hot.speed = Profile(speed * rpm);
    EXPECT_GT(summarise(leaking, idle(leaking, hot).trace).plateau, circuit.control.hold_pressure)
        << size << " mm idles";
    EXPECT_FALSE(EngineRun(leaking, hot, {}).crank(10)) << size << " mm at " << speed << " rpm";
    EXPECT_TRUE(EngineRun(circuit, hot, {}).crank(10)) << "healthy at " << speed << " rpm";
  }
}

TEST(Story, IsOneTraceWithRisingTime) {
  const Story story = tell(valley_v8());
  for (std::size_t i = 1; i < story.trace.time.size(); ++i) ASSERT_GT(story.trace.time[i], story.trace.time[i - 1]);
  const std::vector<double>&oil = story.trace.find(signal::oil_temperature).value,
        &speed = story.trace.find(signal::engine_speed).value;
  EXPECT_NEAR(oil.front(), 293.15, 1e-9);
  EXPECT_NEAR(oil.back(), 363.15, 1e-9);
  EXPECT_NEAR(*std::max_element(speed.begin(), speed.end()), 650 * rpm, 1);
  EXPECT_LT(*std::max_element(story.trace.find(signal::coil_temperature).value.begin(),
                              story.trace.find(signal::coil_temperature).value.end()),
            WarmingCoil::damage_temperature);
}

TEST(Story, WithoutSyncOrDriverItCranksAtGoodPressureAndDoesNotStart) {
  const Circuit circuit = valley_v8();
  for (const char* fault : {"engine: no sync 0", "left injectors: weak shots 0 %"}) {
    Circuit faulty = with(circuit, fault);
    if (*fault == 'l') faulty = with(faulty, "right injectors: weak shots 0 %");
    EngineRun engine(faulty, Condition{}, {});
    EXPECT_FALSE(engine.crank(5)) << fault;
    EXPECT_GT(engine.shown(), circuit.control.enable_pressure) << fault;
  }
}

TEST(Story, StallsWhenThePressureIsLost) {
  const Circuit circuit = with(valley_v8(), "pump port plug: hole 3 mm");
  EngineRun engine(valley_v8(), Condition{}, {});
  ASSERT_TRUE(engine.crank(8));
  EXPECT_TRUE(engine.run(2));
  engine.command(0.2e6);  // the pressure is taken away
  EXPECT_FALSE(engine.run(5));
  EXPECT_FALSE(engine.running());
  EXPECT_FALSE(EngineRun(circuit, Condition{}, {}).crank(5));
}

Condition hot_situation() {
  Condition hot;
  hot.oil_temperature = 363.15, hot.speed = Profile(190 * rpm);
  return hot;
}

// The rails hold behind the check valve and fall through what leaks: faster with a leak, faster with a bad check valve
// once the regulator is open. By the words of the engine's model: without its hold pressure it goes on for the stall
// time of 0.3 s (assumed), and no longer.
TEST(Story, AnEngineStallsAsSoonAsItHasBeenWithoutPressure) {
  const Circuit circuit = valley_v8();
  EngineRun engine(circuit, hot_situation(), {});
  ASSERT_TRUE(engine.crank(10));
  ASSERT_TRUE(engine.run(3));
  engine.command(0);
  double lost = NAN;
  while (engine.run(0.02) && engine.time() < 60)
    if (std::isnan(lost) && engine.shown() < circuit.control.hold_pressure) lost = engine.time();
  ASSERT_FALSE(engine.running());
  EXPECT_NEAR(engine.time() - lost, EngineRun::stall_time, 0.1);
}

TEST(KeyOffHold, FallsFasterWithALeakOrABadCheckValve) {
  const Circuit circuit = valley_v8();
  const auto decay = [&](const Circuit& c) {
    return decay_time(key_off_hold(c, hot_situation(), 4, 30), 4).value_or(30);
  };
  const double good = decay(circuit);
  EXPECT_LT(decay(with(circuit, "left rail front end plug: hole 0.3 mm")), 0.8 * good);
  EXPECT_LT(decay(with(circuit, "outlet check valve: seat leak 1 mm")), 0.5 * good);
}

// Law: what falls as exp(-t/tau) is at half after ln(2)*tau, and at a fifth after ln(5)*tau.
TEST(KeyOffHold, TimesTheFallToItsShare) {
  Trace fall;
  TraceChannel pressure{std::string(signal::rail_pressure), Quantity::pressure, {}};
  constexpr double tau = 3, key_off = 4;
  for (double t = 0; t < 20; t += 0.01)
    fall.time.push_back(t), pressure.value.push_back(7e6 * std::exp(-std::max(0.0, t - key_off) / tau));
  fall.channels = {pressure};
  EXPECT_NEAR(decay_time(fall, key_off).value(), std::log(2) * tau, 0.03);
  EXPECT_NEAR(decay_time(fall, key_off, 0.2).value(), std::log(5) * tau, 0.03);
  EXPECT_FALSE(decay_time(fall, key_off, 1e-3));
}

TEST(KeyOffHold, PressureOnlyFallsOnceTheEngineStands) {
  const Trace trace = key_off_hold(valley_v8(), hot_situation(), 4, 20);
  const std::vector<double>& p = trace.find(signal::rail_pressure).value;
  for (std::size_t i = 1; i < p.size(); ++i)
    if (trace.time[i - 1] > 5.5) {
      EXPECT_LE(p[i], p[i - 1] + 50) << trace.time[i];
    }
}

// Half-split: with the leaking rail plugged the pressure comes back, with the other one it does not (common practice,
// no source).
TEST(Isolation, OfTheLeakingRailBringsThePressureBack) {
  for (const Circuit& circuit : {valley_v8(), head_rail_v8()}) {
    const Circuit leaking = with(circuit, "left rail front end plug: hole 0.8 mm");
    const auto shown = [&](std::string_view block) {
      return summarise(circuit, isolate(leaking, hot_situation(), block).trace).plateau;
    };
    EXPECT_GT(shown("left rail"), 1500 * psi) << circuit.name;
    EXPECT_LT(shown("right rail"), 500 * psi) << circuit.name;
    EXPECT_NE(error_of([&] { blocked(circuit, "lift rail"); }), "");
  }
}

TEST(StepTest, FollowsTheGoalsAndTheDutyRisesWithThem) {
  RunOptions run;
  run.tolerance = 1e-4;
  const StepTest test = step_test(valley_v8(), Condition{}, {5e6, 8e6, 12e6, 6e6}, 5, run);
  ASSERT_TRUE(test.ran);
  const double goals[] = {5e6, 8e6, 12e6, 6e6};
  for (int i = 0; i < 4; ++i) EXPECT_NEAR(test.settled[i], goals[i], 0.05 * goals[i]) << i;
  EXPECT_LT(test.duty[0], test.duty[1]);
  EXPECT_LT(test.duty[1], test.duty[2]);
}

// A plugged screen: slow response, overshoot on the way down (common practice, no source).
TEST(StepTest, APluggedScreenIsSlowAndOvershootsDownwards) {
  RunOptions run;
  run.tolerance = 1e-4;
  const Circuit circuit = valley_v8();
  const StepTest good = step_test(circuit, Condition{}, {10e6, 5e6}, 3, run),
                 plugged = step_test(with(circuit, "pressure regulator: screen plugged 99 %"), Condition{}, {10e6, 5e6},
                                     3, run);
  ASSERT_TRUE(good.ran && plugged.ran);
  EXPECT_GT(plugged.response[1], 1.5 * good.response[1]);
  EXPECT_GT(plugged.overshoot[1], good.overshoot[1]);
}

TEST(Standing, DrainsThroughABadCheckValveAndNotThroughAGoodOne) {
  const Circuit good = valley_v8(), bad = with(good, "outlet check valve: seat leak 1.5 mm");
  Condition rested;
  rested.rest_time = 10 * 3600;
  const Oil oil = oil_of(good, rested);
  const int rail = good.find_node("left rail");
  EXPECT_LT(standing_air(good, oil, rested)[rail], 0.08);
  EXPECT_GT(standing_air(bad, oil, rested)[rail], 0.5);
  rested.rest_time = 1e9;
  EXPECT_NEAR(standing_air(bad, oil, rested)[rail], rested.rest_air + good.nodes[rail].drain_share, 1e-9);
  rested.rest_time = 0;
  EXPECT_EQ(standing_air(bad, oil, rested)[rail], rested.rest_air);
}

// Oil runs off through the seat as head and oil left fall together: share*(1 - exp(-t/tau)), tau = share*V/Q, Q the
// seat's hole under the head rho*g*h.
TEST(Standing, DrainsExponentiallyThroughTheHoleInItsSeat) {
  const double seat = 0.4e-3;
  const Circuit circuit = with(valley_v8(), "outlet check valve: seat leak 0.4 mm");
  for (const double temperature : {293.15, 363.15}) {
    Condition rested;
    rested.oil_temperature = temperature;
    const Oil oil = oil_of(circuit, rested);
    int drained = 0;
    for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
      const Node& node = circuit.nodes[i];
      if (node.drains_through != "outlet check valve" || node.reservoir) continue;
      ++drained;
      const double tau =
          node.drain_share * node.volume / Hole{seat}.flow_through(oil.density * 9.80665 * node.drain_height, oil);
      for (const double times : {0.25, 1.0, 3.0}) {
        rested.rest_time = times * tau;
        EXPECT_NEAR(standing_air(circuit, oil, rested)[i] - rested.rest_air, node.drain_share * (1 - std::exp(-times)),
                    1e-6)
            << node.name << " " << times;
      }
    }
    EXPECT_GT(drained, 0);
  }
}

// Mass that is missing must be pumped in: time at constant flow, physics rows 2n and 11f in a whole circuit.
TEST(Standing, TimeToBuildIsTheMissingVolumeOverThePumpsFlow) {
  const Circuit circuit = valley_v8();
  double total = 0;
  for (const Node& node : circuit.nodes)
    if (!node.tank) total += node.volume;
  Condition condition = hot_situation();
  condition.oil_temperature = 293.15;
  const auto time = [&](double air) {
    condition.rest_air = air;
    return *summarise(circuit, crank(circuit, condition).trace).time_to_enable;
  };
  const double flow = std::get<Pump>(circuit.links[circuit.only<Pump>()].element).displacement * 190 * rpm;
  EXPECT_NEAR((time(0.12) - time(0.06)) * flow / (0.06 * total), 1, 0.06);
}

// Common practice, no source. The trade also sees the pressure hunt; the model's does not: settled, its spread is the
// same with and without air.
TEST(HighIdle, AeratedOilNeedsMoreDuty) {
  RunOptions run;
  run.tolerance = 1e-4;
  const Circuit circuit = valley_v8();
  const HighIdle good = high_idle(circuit, Condition{}, 1500 * rpm, 4, run),
                 frothy = high_idle(with(circuit, "engine: aerated oil 15 %"), Condition{}, 1500 * rpm, 4, run);
  ASSERT_TRUE(good.ran && frothy.ran);
  EXPECT_GT(frothy.duty, good.duty);
}

TEST(Starter, CranksTheCircuitWhenNoSpeedIsGiven) {
  Condition condition;
  const CrankResult result = crank(valley_v8(), condition);
  EXPECT_NEAR(result.trace.find(signal::engine_speed).value.back(), 165 * rpm, 15 * rpm);
  condition.battery_charge = 0.8;
  EXPECT_LT(crank(valley_v8(), condition).trace.find(signal::engine_speed).value.back(),
            result.trace.find(signal::engine_speed).value.back());
}

}  // namespace
}  // namespace railseep
