// Laws of the elements: those that hold for every one, then published cases of each.

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <numbers>
#include <unsupported/Eigen/AutoDiff>

#include "fluid/grade.hpp"
#include "reference_table.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

constexpr double p0 = atmospheric_pressure;

Oil oil_when_hot() {
  Oil oil;
  oil.viscosity = 0.012, oil.density = 830, oil.bulk_modulus_slope = 10, oil.pressure_viscosity = 1.5e-8;
  return oil;
}
Oil oil_when_cold() {
  Oil oil = oil_when_hot();
  oil.viscosity = 0.28, oil.density = 870;
  return oil;
}

/// Oil whose viscosity is next to nothing: what is left is the turbulent branch. Or whose density is: the laminar one.
Oil thin(double density) {
  Oil oil;
  oil.viscosity = 1e-12, oil.density = density;
  return oil;
}
Oil light(double viscosity) {
  Oil oil;
  oil.viscosity = viscosity, oil.density = 1e-9;
  return oil;
}

/// Elements that only resist, each with sizes a circuit would have, shut and open; which of them let oil pass one way
/// only.
struct Passive {
  const char* name;
  Element element;
  bool one_way;
};

std::vector<Passive> passive_elements() {
  Regulator open;
  open.stuck_open = 0.3, open.seat_leak = 2e-4;
  return {{"hole", Hole{0.5e-3}, false},
          {"pinhole", Hole{2e-5}, false},
          {"no hole", Hole{0}, false},
          {"gap", Gap{0.06, 4e-5, 2e-3, 0.3, 2}, false},
          {"no gap", Gap{0.06, 0, 2e-3, 0, 1}, false},
          {"passage", Passage{9e-3, 0.25, 1.5, 0.03}, false},
          {"narrow passage", Passage{1e-3, 1, 0, 0}, false},
          {"lifting seal", LiftingSeal{1e-3, 1.7e6, 4.1e6}, true},
          {"check valve", CheckValve{8e-3, 2e4, 1e5, 5e-5, 0.7}, true},
          {"regulator", open, false},
          {"injector", Injector{0.025, 2e-5, 0.01, 0.2, 4}, false},
          {"screen", Screen{1.5e-4, 4000, 0.5}, false},
          {"sticking seal", StickingSeal{1e-3, 1.7e6, 4.1e6, 0.2, 0.02}, false},
          {"sensor", Sensor{}, false}};
}

double flow(const Element& element, double from, double to, const Oil& oil, double opening = 0.4) {
  return std::visit(
      [&](const auto& e) {
        return e.volume_flow(Ports<double>{from, to, {0.5, opening}}, Signals<double>{0, 0}, oil);
      },
      element);
}

const double drops[] = {1e-3, 1,     1e2, 1e4,   2e4, 6e4, 1e5,
                        1e6,  1.7e6, 3e6, 4.1e6, 1e7, 3e7};  // [Pa], the corners among them

TEST(Elements, PassiveOnesNeverAddPower) {
  for (const Passive& passive : passive_elements())
    for (const Oil& oil : {oil_when_hot(), oil_when_cold()})
      for (const double dp : drops) {
        EXPECT_GE(flow(passive.element, p0 + dp, p0, oil), 0) << passive.name << " at " << dp;
        EXPECT_LE(flow(passive.element, p0, p0 + dp, oil), 0) << passive.name << " at " << -dp;
        EXPECT_EQ(flow(passive.element, p0 + dp, p0 + dp, oil), 0) << passive.name;
      }
}

// What decays comes as near to 0 as numbers go, and the solver needs both the flow and its slopes there.
TEST(Elements, AreNumbersWithFiniteSlopesForOwnStatesNextToNothing) {
  using Dual = Eigen::AutoDiffScalar<Eigen::Matrix<double, 4, 1>>;
  const auto finite = [](const Dual& x) { return std::isfinite(x.value()) && x.derivatives().allFinite(); };
  std::vector<Element> elements = each_element();
  for (const Passive& passive : passive_elements()) elements.push_back(passive.element);
  for (const double edge_law : {0.0, 0.5, 1.0})
    for (Oil oil : {oil_when_hot(), oil_when_cold()})
      for (const Element& element : elements)
        for (const double dp : {0.0, 1e-3, 1e4, 1.4e7, -1.4e7})
          for (int exponent = 0; exponent <= 300; exponent += 5)
            for (const double sign : {1.0, -1.0}) {
              oil.edge_law = edge_law;
              const double own = sign * std::pow(10.0, -exponent);
              const auto dual = [](double value, int which) { return Dual(value, 4, which); };
              const Ports<Dual> port{dual(p0 + std::max(dp, 0.0), 0),
                                     dual(p0 + std::max(-dp, 0.0), 1),
                                     {dual(own, 2), dual(own, 3)},
                                     Dual(0.01, Eigen::Vector4d::Zero())};
              const Signals<Dual> signal{Dual(18, Eigen::Vector4d::Zero()),
                                         Dual(6, Eigen::Vector4d::Zero()),
                                         Dual(1, Eigen::Vector4d::Zero()),
                                         true,
                                         2e-3,
                                         0};
              std::visit(
                  [&](const auto& e) {
                    ASSERT_TRUE(finite(e.volume_flow(port, signal, oil)))
                        << e.kind << ", own state " << own << ", dp " << dp << ", edge law " << edge_law;
                    if constexpr (std::decay_t<decltype(e)>::own_states > 0) {
                      for (const Dual& rate : e.own_rates(port, signal, oil))
                        ASSERT_TRUE(finite(rate)) << e.kind << ", own state " << own;
                    }
                  },
                  element);
            }
}

// Law: creeping flow through an orifice goes with its diameter cubed (Sampson 1891), so through a part of its area with
// the share to the power 3/2.
TEST(Elements, AHoleNextToShutPassesCreepingFlow) {
  for (const double edge_law : {0.0, 1.0}) {
    Oil oil = oil_when_hot();
    oil.edge_law = edge_law;
    const Hole hole{2.6e-3};
    for (double open = 1e-12; open > 1e-180; open *= 1e-20)
      EXPECT_NEAR(hole.flow_through_part(1.4e7, 1e-4 * open, oil) / hole.flow_through_part(1.4e7, open, oil), 1e-6,
                  1e-8)
          << open << ", " << edge_law;
  }
}

TEST(Elements, SwappedPortsReverseTheFlowUnlessItIsAValve) {
  for (const Passive& passive : passive_elements())
    for (const Oil& oil : {oil_when_hot(), oil_when_cold()})
      for (const double dp : drops) {
        const double forward = flow(passive.element, p0 + dp, p0, oil),
                     backward = -flow(passive.element, p0, p0 + dp, oil);
        if (passive.one_way) {
          EXPECT_LE(backward, forward) << passive.name << " at " << dp;
        } else {
          EXPECT_NEAR(backward, forward, 1e-14 * forward) << passive.name << " at " << dp;
        }
      }
}

TEST(Elements, FlowRisesWithThePressureDrop) {
  for (const Passive& passive : passive_elements())
    for (const Oil& oil : {oil_when_hot(), oil_when_cold()}) {
      double before = -INFINITY;
      for (double dp = -3e7; dp <= 3e7; dp += 1.25e4) {
        const double q = flow(passive.element, std::max(p0, p0 + dp), std::max(p0, p0 - dp), oil);
        EXPECT_GE(q, before) << passive.name << " at " << dp;
        before = q;
      }
    }
}

TEST(Elements, FlowRisesWithEverySizeThatOpensIt) {
  const std::pair<const char*, std::vector<const char*>> opening[] = {
      {"hole", {"diameter", "discharge_coefficient"}},
      {"gap", {"width", "clearance", "eccentricity", "count"}},
      {"passage", {"diameter"}},
      {"lifting seal", {"diameter"}},
      {"check valve", {"diameter", "seat_leak", "discharge_coefficient"}},
      {"regulator", {"diameter", "stuck_open", "seat_leak"}},
      {"injector", {"width", "clearance", "eccentricity", "count"}},
      {"screen", {"mesh", "openings"}},
      {"sticking seal", {"diameter"}}};
  for (const auto& [name, keys] : opening)
    for (const Passive& passive : passive_elements()) {
      if (std::string(passive.name) != name) continue;
      for (const char* key : keys) {
        Element larger = passive.element;
        set_parameter(larger, key, 1.1 * get_parameter(larger, key));
        for (const double dp : {5e4, 1e5, 3e6, 2e7})
          if (const double q = flow(passive.element, p0 + dp, p0, oil_when_hot()); q > 0) {
            EXPECT_GT(flow(larger, p0 + dp, p0, oil_when_hot()), q) << name << ", " << key << " at " << dp;
          }
      }
    }
}

/// Slope of the flow over the pressure drop, from one side.
double slope(const Element& element, double dp, double step) {
  const auto q = [&](double d) { return flow(element, std::max(p0, p0 + d), std::max(p0, p0 - d), oil_when_hot()); };
  return (q(dp + step) - q(dp)) / step;
}

TEST(Elements, ValueAndSlopeAreContinuousAtEveryCorner) {
  for (const Passive& passive : passive_elements()) {
    std::vector<double> corners{0};
    for (const ParameterView& p : parameters_of(passive.element))
      if (p.key == "opening_pressure" || p.key == "cracking_pressure" || p.key == "full_pressure")
        corners.push_back(p.value);
    for (const double corner : corners) {
      // Two one-sided slopes over a step h differ by h times the change of slope: halving h must halve the difference.
      double before = INFINITY;
      for (double h : {64.0, 16.0, 4.0, 1.0}) {
        const double jump = std::abs(slope(passive.element, corner, h) - slope(passive.element, corner, -h));
        const double size = std::abs(slope(passive.element, corner, h)) + std::abs(slope(passive.element, corner, -h));
        if (jump <= 1e-6 * size) break;
        EXPECT_LT(jump, 0.6 * before) << passive.name << " at " << corner << ", h = " << h;
        before = jump;
      }
    }
  }
}

TEST(Elements, StateOfTheRegulatorStaysBetweenShutAndOpen) {
  const Regulator regulator;
  const Signals<double> off{0, 0};
  for (const double dp : {0.0, 1e5, 1e6, 5e7}) {
    EXPECT_GE(regulator.own_rates(Ports<double>{p0 + dp, p0, {0, 0}}, off, oil_when_hot())[1], 0);
    EXPECT_LE(regulator.own_rates(Ports<double>{p0 + dp, p0, {0, 1}}, off, oil_when_hot())[1], 0);
  }
}

// Torricelli / Merritt (1967) ch. 3, rows 3a and 3b.
TEST(Hole, FollowsTorricelliWhenTurbulent) {
  for (const ReferenceRow& row : reference_table("hole_flow.csv"))
    EXPECT_NEAR(flow(Hole{row["diameter"] * 1e-3, 0.611}, p0 + row["pressure"] * 1e6, p0, thin(850)), row["flow"],
                1e-6 * row["flow"])
        << row.text("row");
}

// Sampson (1891): creeping flow through a hole in a thin wall, Q = d^3*dp/(24*mu), equation from memory; row
// 3d: 4.16667e-8 m3/s.
TEST(Hole, FollowsSampsonWhenLaminar) { EXPECT_NEAR(flow(Hole{1e-4}, p0 + 1e5, p0, light(0.1)), 4.16667e-8, 1e-13); }

// A part of the area is a smaller hole: Sampson's and Torricelli's losses of the diameter d*sqrt(open), in one
// another's neighbourhood too.
TEST(Hole, OfWhichAPartIsOpenIsASmallerHole) {
  for (const Oil& oil : {oil_when_hot(), oil_when_cold(), light(0.1), thin(850)})
    for (const double open : {1e-4, 0.02, 0.3, 1.0})
      for (const double dp : {1e3, 1e6, 2e7}) {
        const double whole = flow(Hole{2.5e-3 * std::sqrt(open)}, p0 + dp, p0, oil);
        EXPECT_NEAR(Hole{2.5e-3}.flow_through_part(dp, open, oil), whole, 1e-12 * whole) << open << " at " << dp;
      }
}

// Wu, Burton & Schoenau (2002), row 3e: computed from the fit, coefficients from memory.
TEST(Hole, OtherLawHasTheCoefficientsOfItsFit) {
  for (const auto& [reynolds, coefficient] : {std::pair(1.0, 0.19810),
                                              {10, 0.46816},
                                              {50, 0.65603},
                                              {100, 0.68726},
                                              {300, 0.66579},
                                              {1000, 0.62161},
                                              {1e4, 0.61000}})
    EXPECT_NEAR(Hole::fitted_coefficient(std::sqrt(reynolds)), coefficient, 1e-5) << reynolds;
}

TEST(Hole, OtherLawPassesWhatItsCoefficientSays) {
  Oil oil = thin(850);
  oil.viscosity = 0.1;
  oil.edge_law = 1;
  for (const double dp : {1e4, 1e5, 1e6, 2e7}) {
    const double d = 7e-4, q = flow(Hole{d}, p0 + dp, p0, oil),
                 reynolds = 4 * oil.density * q / (std::numbers::pi * d * oil.viscosity);
    const double area = 0.25 * std::numbers::pi * d * d;
    EXPECT_NEAR(q, Hole::fitted_coefficient(std::sqrt(reynolds)) * area * std::sqrt(2 * dp / oil.density), 2e-3 * q)
        << dp;  // its corner at 0 is rounded
    EXPECT_NEAR(flow(Hole{d}, p0, p0 + dp, oil), -q, 1e-12 * q);
  }
}

// Row 3h.
TEST(Series, SolvesTheQuadratic) {
  for (const ReferenceRow& row : reference_table("series_flow.csv")) {
    EXPECT_NEAR(series_flow(row["pressure"], 1e10, 2e14), row["flow"], 1e-8 * row["flow"]);
    const double q = series_flow(row["pressure"], 1e10, 2e14);
    EXPECT_NEAR(1e10 * q + 2e14 * q * q, row["pressure"], 1e-12 * row["pressure"]);
  }
}

// Fox & McDonald, Example 8.1 (4a) and plungers (4c, 4d): laminar film alone, so entry and exit loss are left out by a
// light oil.
TEST(Gap, LeaksLikeThePublishedAnnuli) {
  for (const ReferenceRow& row : reference_table("annulus_flow.csv")) {
    const Gap gap{std::numbers::pi * row["diameter"] * 1e-3, row["clearance"] * 1e-6, row["length"] * 1e-3,
                  row["eccentricity"], 1};
    EXPECT_NEAR(flow(gap, p0 + row["pressure"] * 1e6, p0, light(row["viscosity"])), row["flow"] * 1e-9,
                row["tolerance"] * row["flow"] * 1e-9)
        << row.text("row");
  }
}

// Row 4e: flat slot, w 10 mm, h 20 um, L 2 mm, mu 0.010 Pa.s, 20 MPa.
TEST(Gap, LeaksLikeAFlatSlot) {
  EXPECT_NEAR(flow(Gap{1e-2, 2e-5, 2e-3, 0, 1}, p0 + 20e6, p0, light(0.010)), 6.66667e-6, 1e-11);
}

// Row 4b.
TEST(Gap, LeaksMoreWhenEccentric) {
  for (const ReferenceRow& row : reference_table("eccentric_annulus.csv")) {
    const Gap centred{0.02, 1e-5, 1e-2, 0, 1}, off{0.02, 1e-5, 1e-2, row["eccentricity"], 1};
    EXPECT_NEAR(flow(off, p0 + 1e6, p0, light(0.02)) / flow(centred, p0 + 1e6, p0, light(0.02)), row["factor"], 1e-12);
  }
}

// Lubrication theory: twice the clearance leaks eightfold, twice the viscosity half.
TEST(Gap, FollowsTheCubeOfItsClearanceAndTheInverseOfViscosity) {
  const double q = flow(Gap{0.02, 1e-5, 1e-2, 0, 1}, p0 + 1e6, p0, light(0.02));
  EXPECT_NEAR(flow(Gap{0.02, 2e-5, 1e-2, 0, 1}, p0 + 1e6, p0, light(0.02)), 8 * q, 1e-12 * q);
  EXPECT_NEAR(flow(Gap{0.02, 1e-5, 1e-2, 0, 1}, p0 + 1e6, p0, light(0.04)), 0.5 * q, 1e-12 * q);
}

// Oil thickens under pressure by Barus, and creeps through a slit by dp/dx = -12*mu(p)*Q/(w*h^3). Integrated from p1 to
// p2:
//     Q = w*h^3/(12*mu0*alpha*L) * (exp(-alpha*p2) - exp(-alpha*p1)),    p gauge.
// At 10 MPa and 2e-8 1/Pa that is 9.4 % less than without. Oil of the shipped grades is taken, without weight so that
// no inlet loss is left.
TEST(Gap, LeaksLessThanItsDropSaysBecauseOilThickensUnderPressure) {
  const double w = 0.06, h = 3e-5, length = 2e-3;
  for (const char* grade : {"15W-40", "5W-40"}) {
    Oil oil = oil_at(find_oil_grade(grade), 363.15);
    oil.density = 1e-9;
    const double alpha = 2.0e-8;  // Stachowiak & Batchelor, Table 2.3, as in viscosity.hpp
    for (const auto& [p1, p2] : {std::pair{1e7, 0.0}, {3.5e6, 0.0}, {2.5e7, 0.0}, {2.5e7, 1e7}, {0.0, 1e7}}) {
      const double exact =
          w * h * h * h / (12 * oil.viscosity * alpha * length) * (std::exp(-alpha * p2) - std::exp(-alpha * p1));
      EXPECT_NEAR(flow(Gap{w, h, length, 0, 1}, p0 + p1, p0 + p2, oil) / exact, 1, 1e-6)
          << grade << " " << p1 << " " << p2;
    }
    const double constant = w * h * h * h * 1e7 / (12 * oil.viscosity * length);
    EXPECT_NEAR(flow(Gap{w, h, length, 0, 1}, p0 + 1e7, p0, oil) / constant, 0.906, 0.001) << grade;
  }
}

// Row 7h: Hagen-Poiseuille, Q 1e-4 m3/s, mu 0.05 Pa.s, L 1 m, d 10 mm: dp = 20371.83 Pa.
TEST(Passage, FollowsHagenPoiseuille) {
  EXPECT_NEAR(flow(Passage{10e-3, 1, 0, 0}, p0 + 20371.83, p0, light(0.05)), 1e-4, 1e-10);
}

// Darcy-Weisbach with minor losses: dp = (K + f*L/d)*rho*v^2/2.
TEST(Passage, FollowsDarcyWhenTurbulent) {
  const double v = 5, dp = (1.5 + 0.03 * 0.25 / 9e-3) * 850 * v * v / 2;
  EXPECT_NEAR(flow(Passage{9e-3, 0.25, 1.5, 0.03}, p0 + dp, p0, thin(850)), v * std::numbers::pi / 4 * 81e-6, 1e-12);
}

// Wilson, ASME 48-SA-14 (1948), rows 9a and 9b.
TEST(Pump, SlipsLikeWilson) {
  Pump pump;
  pump.displacement = 7e-6 / (2 * std::numbers::pi), pump.slip = 2e-8;
  const Signals<double> turning{150 * 2 * std::numbers::pi / 60, 0};
  for (const ReferenceRow& row : reference_table("pump_slip.csv")) {
    const Ports<double> port{p0, p0 + row["pressure"] * 1e6, {0, 0}};
    const double delivered = pump.volume_flow(port, turning, light(0.02)), displaced = pump.displaced(turning);
    const std::string& what = row.text("what");
    const double found = what == "displaced"    ? displaced
                         : what == "slipped"    ? displaced - delivered
                         : what == "efficiency" ? delivered / displaced
                                                : delivered;
    EXPECT_NEAR(found, row["value"], what == "dead_head" ? 1e-7 * displaced : 1e-6 * row["value"]) << what;
  }
}

TEST(Pump, DeliversLessWhenWornOrWithPistonsLost) {
  const Signals<double> turning{18, 0};
  const Ports<double> port{p0, p0 + 3e6, {0, 0}};
  Pump pump, worn, lame;
  worn.wear = 4, lame.lost_capacity = 0.25;
  EXPECT_NEAR(worn.slipped(port, oil_when_hot()), 4 * pump.slipped(port, oil_when_hot()),
              1e-12 * worn.slipped(port, oil_when_hot()));
  EXPECT_NEAR(lame.displaced(turning), 0.75 * pump.displaced(turning), 1e-12 * pump.displaced(turning));
}

// IEC 60028:1925, row 10a.
TEST(Coil, GrowsInResistanceLikeCopper) {
  for (const ReferenceRow& row : reference_table("copper_coil.csv")) {
    Regulator regulator;
    regulator.coil_temperature = row["temperature"] + 273.15;
    EXPECT_NEAR(regulator.hot_resistance() / regulator.resistance, row["ratio"], 1e-5);
  }
}

// Row 10c: di/dt at the published current is what is left of the way, by tau.
TEST(Coil, CurrentRisesExponentially) {
  Regulator regulator;
  regulator.coil_temperature = 293.15;
  const double tau = regulator.inductance / regulator.resistance, end = 12 / regulator.resistance;
  for (const ReferenceRow& row : reference_table("coil_step.csv")) {
    const auto rates =
        regulator.own_rates(Ports<double>{p0, p0, {row["share"] * end, 0}}, Signals<double>{0, 12}, oil_when_hot());
    EXPECT_NEAR(rates[0] * tau / end, std::exp(-row["time"]), 1e-6);
  }
}

// A four-stroke engine fires each cylinder once in two turns: at 1200 rpm 10 shots a second from each injector. A long
// pulse ends with the stroke of the piston, so each takes the valve's and the stroke's volume; tight spools leak
// nothing beside.
TEST(Injector, TakesOneShotInTwoTurns) {
  Injector injector;
  injector.clearance = 0, injector.count = 4, injector.valve_volume = 5e-8, injector.stroke_volume = 1.2e-6;
  const Signals<double> firing{1200 * 2 * std::numbers::pi / 60, 0, 0, false, 0.1};
  EXPECT_NEAR(injector.volume_flow(Ports<double>{p0 + 2e7, p0, {0, 0}}, firing, oil_when_hot()), 4 * 10 * 1.25e-6,
              1e-9);
}

TEST(LiftingSeal, IsShutBelowItsOpeningPressureAndAHoleAboveItsFull) {
  const LiftingSeal seal{1e-3, 1.7e6, 4.1e6};
  EXPECT_EQ(flow(seal, p0 + 1.7e6, p0, oil_when_hot()), 0);
  EXPECT_GT(flow(seal, p0 + 1.8e6, p0, oil_when_hot()), 0);
  EXPECT_EQ(flow(seal, p0 + 4.1e6, p0, oil_when_hot()), flow(Hole{1e-3}, p0 + 4.1e6, p0, oil_when_hot()));
}

TEST(CheckValve, LeaksBackThroughItsSeatAlone) {
  const CheckValve valve{8e-3, 2e4, 1e5, 5e-5, 0.7};
  EXPECT_EQ(flow(valve, p0, p0 + 1e6, oil_when_hot()), flow(Hole{5e-5}, p0, p0 + 1e6, oil_when_hot()));
  EXPECT_EQ(flow(CheckValve{}, p0, p0 + 1e6, oil_when_hot()), 0);
}

// 0.24 V at rest and 0.80 V near 500 psi: workshop forms, read (trade).
// Law: a first-order lag moves towards its input at (input - output)/tau.
TEST(Sensor, LagsByItsTimeConstant) {
  Sensor sensor;
  sensor.lag = 8e-3;
  const auto rate = [&](double pressure, double lagged) {
    return sensor.own_rates(Ports<double>{p0 + pressure, p0, {lagged, 0}}, Signals<double>{0, 0}, oil_when_hot())[0];
  };
  EXPECT_NEAR(rate(4e6, 0), 4e6 / 8e-3, 1);
  EXPECT_NEAR(rate(4e6, 5e6), -1e6 / 8e-3, 1);
}

// Law: what the coil sets is a straight line in the current from the dead current on, and the spring alone below; its
// corner is 0.01 A wide.
TEST(Regulator, SetsItsPressureByTheCurrentBeyondTheDeadOne) {
  Regulator regulator;
  regulator.dead_current = 0.15, regulator.pressure_slope = 2e7, regulator.spring_pressure = 3e5;
  for (const double current : {0.3, 0.5, 1.0})
    EXPECT_NEAR(regulator.set_pressure(current), 3e5 + 2e7 * (current - 0.15), 1) << current;
  EXPECT_NEAR(regulator.set_pressure(0.0), 3e5, 1);
}

// Law: the pilot stage is filled through what is left of its screen, so with a hundredth of the screen the spool takes
// a hundred times as long.
TEST(Regulator, MovesAsFastAsItsScreenLetsIt) {
  Regulator regulator;
  const auto rate = [&] {
    return regulator.own_rates(Ports<double>{p0 + 2e7, p0, {0.2, 0.3}}, Signals<double>{0, 6}, oil_when_hot())[1];
  };
  const double free = rate();
  regulator.screen_blocked = 0.99;
  EXPECT_GT(free, 0);
  EXPECT_NEAR(rate() / free, 0.01, 1e-12);
}

TEST(Sensor, ShowsTheVoltsOfTheWorkshopForms) {
  const Circuit circuit = valley_v8();
  const auto& sensor = std::get<Sensor>(circuit.links[circuit.only<Sensor>()].element);
  EXPECT_NEAR(sensor.volts(0), 0.24, 0.005);
  EXPECT_NEAR(sensor.volts(parse_quantity("500 psi", Quantity::pressure)), 0.80, 0.005);
  Sensor off = sensor;
  off.bias = -2e6;
  EXPECT_EQ(off.shown_pressure(1.5e6), 0);
  EXPECT_NEAR(off.shown_pressure(5e6), 3e6, 1e-6);
}

TEST(Shapes, SmoothStepAndRoundedRampHaveTheirEnds) {
  EXPECT_EQ(smooth_step(-1.0), 0);
  EXPECT_EQ(smooth_step(0.5), 0.5);
  EXPECT_EQ(smooth_step(2.0), 1);
  EXPECT_NEAR(rounded_ramp(0.0, 0.01), 0.01 * std::numbers::ln2, 1e-15);
  EXPECT_NEAR(rounded_ramp(1.0, 0.01), 1, 1e-15);
  EXPECT_NEAR(rounded_ramp(-1.0, 0.01), 0, 1e-15);
  // Both sides of where the exact form is left for its limit.
  EXPECT_NEAR(rounded_ramp(0.4000001, 0.01), rounded_ramp(0.3999999, 0.01), 3e-7);
  EXPECT_NEAR(rounded_ramp(-0.4000001, 0.01), rounded_ramp(-0.3999999, 0.01), 1e-18);
}

}  // namespace
}  // namespace railseep
