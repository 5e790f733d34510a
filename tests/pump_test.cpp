// Pump: ripple against the published table, starving inlet; lube pump, screen.

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "reference_table.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

constexpr double p0 = atmospheric_pressure;

Oil oil_of_viscosity(double viscosity) {
  Oil oil;
  oil.viscosity = viscosity, oil.density = 850;
  return oil;
}

struct Ripple {
  double least = 1e9, most = 0, mean = 0;
  int peaks = 0;  // in one turn
};

Ripple ripple_of(int pistons) {
  Pump pump;
  pump.pistons = pistons;
  const int n = 72 * 5 * 7 * 11 * 13;  // every kink of 5 to 13 pistons falls on or between points that are close
  Ripple ripple;
  const auto at = [&](int i) { return pump.ripple(2 * std::numbers::pi * i / n); };
  for (int i = 0; i < n; ++i) {
    const double q = at(i);
    ripple.least = std::min(ripple.least, q), ripple.most = std::max(ripple.most, q), ripple.mean += q / n;
    ripple.peaks += q > at(i - 1) && q >= at(i + 1);
  }
  return ripple;
}

// Rows of physics section 9: published and computed, odd and even numbers of pistons.
TEST(Pump, RipplesLikeThePublishedTable) {
  for (const ReferenceRow& row : reference_table("pump_ripple.csv")) {
    const int n = static_cast<int>(row["pistons"]);
    SCOPED_TRACE(n);
    const Ripple r = ripple_of(n);
    EXPECT_NEAR(r.mean, 1, 1e-6);
    const double over_max = 100 * (r.most - r.least) / r.most, over_mean = 100 * (r.most - r.least) / r.mean;
    EXPECT_NEAR(over_max, row["R_max"], 6e-5);
    EXPECT_NEAR(over_max, row["R_published"], row["published_digit"]);
    EXPECT_NEAR(over_mean, row["delta_mean"], 6e-5);
    EXPECT_EQ(r.peaks, row["periods"]);
  }
}

// A hydraulics teaching page, row 9c: 11.69 gpm at 1500 rpm without load, 10.0 gpm at 3000 psi: 1.80 in3/rev, 85.5
// %, 1.69 gpm leak.
TEST(Pump, GivesTheBenchTestExample) {
  const double gpm = 6.309019640e-5, speed = 1500 * 2 * std::numbers::pi / 60, dp = 3000 * 6894.757293168;
  const Oil oil = oil_of_viscosity(0.03);
  Pump pump;
  pump.displacement = parse_quantity("1.80026 in3/rev", Quantity::displacement);
  const Signals<double> turning{speed, 0};
  EXPECT_NEAR(pump.displaced(turning) / gpm, 11.69, 1e-3 * 11.69);
  pump.slip = 1.69 * gpm * oil.viscosity / (pump.displacement * dp);  // Wilson's coefficient from the leak
  const double loaded = pump.volume_flow(Ports<double>{p0, p0 + dp, {0, 0}}, turning, oil);
  EXPECT_NEAR(loaded / gpm, 10.0, 1e-3 * 10);
  EXPECT_NEAR(loaded / pump.displaced(turning), 0.855432, 1e-3);
}

TEST(Pump, RippleChangesTheFlowOnlyWhenAskedFor) {
  const Ports<double> port{p0, p0 + 3e6, {0, 0}};
  const Oil oil = oil_of_viscosity(0.02);
  const Pump pump;
  Signals<double> signal{18, 0, 0.1};
  const double smooth = pump.volume_flow(port, signal, oil);
  signal.crank_angle = 0.15;
  EXPECT_EQ(pump.volume_flow(port, signal, oil), smooth);
  signal.ripple = true;
  EXPECT_NEAR(pump.volume_flow(port, signal, oil) - smooth, pump.displaced(signal) * (pump.ripple(0.15) - 1), 1e-18);
}

Pump screened(double blocked) {
  Pump pump;
  pump.inlet_openings = 6000, pump.inlet_blocked = blocked;
  return pump;
}

double delivered(const Pump& pump, double supply, double speed, const Oil& oil) {
  return pump.volume_flow(Ports<double>{supply, supply, {0, 0}}, Signals<double>{speed, 0}, oil);
}

TEST(Pump, StarvesWhenTheScreenLetsLessIn) {
  const Oil hot = oil_of_viscosity(0.016), cold = oil_of_viscosity(0.29);
  const double full = delivered(Pump{}, p0 + 1e5, 18, hot);
  EXPECT_NEAR(delivered(screened(0), p0 + 1e5, 18, hot), full, 1e-6 * full);
  // Never more than the screen lets in down to the least inlet pressure, and almost that when it asks for far more.
  const Pump blocked = screened(0.995);
  for (const Oil& oil : {hot, cold}) {
    const double in = blocked.inlet(p0 + 1e5, oil);
    EXPECT_LE(delivered(blocked, p0 + 1e5, 300, oil), in);
    EXPECT_GT(delivered(blocked, p0 + 1e5, 300, oil), 0.95 * in);
  }
  // Worst with cold oil (common practice, no source).
  EXPECT_LT(delivered(blocked, p0 + 1e5, 18, cold), 0.5 * delivered(blocked, p0 + 1e5, 18, hot));
  // Nothing comes in from a vacuum.
  EXPECT_NEAR(delivered(screened(0), 0, 18, hot), 0, 1e-3 * full);
}

TEST(Pump, StarvingIsSmoothInTheSupplyPressure) {
  const Oil oil = oil_of_viscosity(0.29);
  const Pump pump = screened(0.99);
  double before = -1;
  for (double p = 1e3; p < 4e5; p += 500) {
    const double q = delivered(pump, p, 18, oil);
    EXPECT_GE(q, before) << p;
    before = q;
    const double h = 1, left = (delivered(pump, p, 18, oil) - delivered(pump, p - h, 18, oil)) / h,
                 right = (delivered(pump, p + h, 18, oil) - delivered(pump, p, 18, oil)) / h;
    EXPECT_NEAR(left, right, 1e-3 * (std::abs(left) + std::abs(right)) + 1e-16) << p;
  }
}

/// One stroke after another of a cylinder with a dead volume, in small steps: what it holds is one mixture of oil and
/// air, the air isothermal.
/// @return mixture drawn per stroke, as a share of it, once strokes repeat themselves
double drawn_by_strokes(double dead, double air, double p_from, double p_to) {
  double oil = dead, gas = 0;  // held at the end of a stroke: oil by volume, air as p*V
  double drawn = 0;
  for (int stroke = 0; stroke < 200; ++stroke) {
    // The piston goes back: what is held expands to the inlet's pressure, then the inlet fills the rest.
    drawn = std::max(0.0, 1 + dead - (oil + gas / p_from));
    oil += (1 - air) * drawn, gas += air * drawn * p_from;
    // It comes forward: nothing leaves before the outlet's pressure; then the mixture does, until only the dead volume
    // is left.
    const double squeezed = oil + gas / p_to;
    const double kept = std::min(1.0, dead / squeezed);
    oil *= kept, gas *= kept;
  }
  return drawn;
}

// The law is a balance in closed form; here the same cylinder stroke by stroke.
TEST(Pump, DrawsWhatIsLeftOfTheStrokeWhenTheDeadVolumeHasExpanded) {
  const Oil oil = oil_of_viscosity(0.02);
  Pump pump;
  for (const double dead : {0.05, 0.3, 1.0})
    for (const double air : {0.1, 0.5, 0.9, 0.97, 1.0})
      for (const double times : {2.0, 4.0, 10.0, 30.0}) {
        pump.dead_volume = dead;
        const Ports<double> port{2e5, 2e5 * times, {0, 0}, air};
        const double drawn = drawn_by_strokes(dead, air, port.from, port.to);
        EXPECT_NEAR(pump.filled(port, oil), drawn, drawn > 0.3 ? 1e-6 : 0.008) << dead << " " << air << " " << times;
      }
}

// Volumetric efficiency of a reciprocating compressor, 1 + c - c*(p2/p1)^(1/n): c 5 %, five times the pressure, n 1.3
// give 0.8776 (worked by hand: 5^(1/1.3) = 3.4485); it is 0 at p2/p1 = (1 + 1/c)^n. Source: textbook formula (from
// memory). What the dead volume leaves of the stroke is what the pump delivers; without clearances nothing slips back.
TEST(Pump, DeliversWhatItDraws) {
  const Oil oil = oil_of_viscosity(0.02);
  Pump pump;
  pump.slip = 0, pump.dead_volume = 0.3;
  const Signals<double> turning{18, 0};
  for (const double air : {0.0, 0.5, 0.97}) {
    const Ports<double> port{2e5, 8e5, {0, 0}, air};
    EXPECT_NEAR(pump.volume_flow(port, turning, oil) / pump.displaced(turning),
                drawn_by_strokes(0.3, air, port.from, port.to), 1e-3)
        << air;
  }
}

TEST(Pump, OnAirAloneIsACompressor) {
  Oil oil = oil_of_viscosity(0.02);
  oil.gas.exponent = 1.3;
  Pump pump;
  pump.dead_volume = 0.05;
  EXPECT_NEAR(pump.filled(Ports<double>{1e5, 5e5, {0, 0}, 1.0}, oil), 0.8776, 5e-5);
  pump.dead_volume = 0.3;
  const double highest = 1e5 * std::pow(1 + 1 / 0.3, 1.3);
  EXPECT_GT(pump.filled(Ports<double>{1e5, 0.9 * highest, {0, 0}, 1.0}, oil), 0.02);
  EXPECT_LT(pump.filled(Ports<double>{1e5, 1.2 * highest, {0, 0}, 1.0}, oil), 0.002);
}

TEST(Pump, OnOilAloneHasNoUseForItsDeadVolume) {
  const Oil oil = oil_of_viscosity(0.02);
  const Ports<double> port{2e5, 2e7, {0, 0}};
  Pump pump;
  const double without = pump.volume_flow(port, Signals<double>{18, 0}, oil);
  pump.dead_volume = 1;
  EXPECT_EQ(pump.volume_flow(port, Signals<double>{18, 0}, oil), without);
}

// Relief at 65 psi: maker's training booklet, read (trade).
TEST(LubePump, ItsReliefKeepsTheGalleryNearItsSetting) {
  const Circuit circuit = head_rail_v8();
  const auto& pump = std::get<LubePump>(circuit.links[circuit.only<LubePump>()].element);
  const double relief = parse_quantity("65 psi", Quantity::pressure);
  EXPECT_EQ(pump.relief_pressure, relief);
  const Oil oil = oil_of_viscosity(0.02);
  const auto flow = [&](double dp) {
    return pump.volume_flow(Ports<double>{p0, p0 + dp, {0, 0}}, Signals<double>{68, 0}, oil);
  };
  EXPECT_GT(flow(relief), 0.9 * flow(0));
  EXPECT_LT(flow(relief + pump.override_pressure), 1e-3 * flow(0));
  LubePump stuck = pump;
  stuck.relief_stuck = 1;
  EXPECT_LE(stuck.volume_flow(Ports<double>{p0, p0, {0, 0}}, Signals<double>{68, 0}, oil), 0);
}

TEST(Screen, IsManyHolesSideBySide) {
  const Oil oil = oil_of_viscosity(0.05);
  const Screen screen{2e-4, 1000, 0.25};
  for (const double dp : {1e2, 1e4, 1e6})
    EXPECT_NEAR(screen.flow_through(dp, oil), 750 * (Hole{2e-4, 0.62}.flow_through(dp, oil)),
                1e-12 * screen.flow_through(dp, oil))
        << dp;
}

}  // namespace
}  // namespace railseep
