#include <gtest/gtest.h>

#include "circuit/air/element_flow.hpp"
#include "circuit/air/iso6358.hpp"
#include "reference_table.hpp"
#include "shipped_circuits.hpp"
#include "units.hpp"

namespace railseep {
namespace {

constexpr double inch = 0.0254, cubic_foot_a_minute = 4.719474432e-4;

AirPorts<double> ports(double from, double to, double temperature = 293.15) {
  return {from, to, temperature, temperature, 0};
}

// NACA Report 1135: the nozzle's area ratio A/A* is psi(choked)/psi(p/pt). The pressure ratio is printed to four
// decimals: the printed area must lie between the areas at both ends of that rounding.
TEST(AirNozzle, HasTheAreaRatiosOfNaca1135) {
  const auto area = [](double ratio) { return nozzle_function(critical_pressure_ratio) / nozzle_function(ratio); };
  for (const ReferenceRow& row : reference_table("naca_1135.csv")) {
    EXPECT_GE(area(row["pressure_ratio"] + 0.5e-4), row["area_ratio"] - 0.5e-4) << row.text("row");
    EXPECT_LE(area(std::max(critical_pressure_ratio, row["pressure_ratio"] - 0.5e-4)), row["area_ratio"] + 0.5e-4)
        << row.text("row");
  }
  EXPECT_NEAR(critical_pressure_ratio, std::pow(2 / 2.4, 3.5), 1e-14);
}

// ISO 8778 (ANR): one cubic metre of standard air weighs 1.185 kg (from memory).
TEST(StandardAir, IsThatOfIso8778UnlessAnotherIsNamed) { EXPECT_NEAR(standard_flow(1.185), 1, 1e-12); }

TEST(AirNozzle, FollowsTheIsentropicFunction) {
  for (const ReferenceRow& row : reference_table("nozzle_function.csv"))
    EXPECT_NEAR(nozzle_function(row["ratio"]) / nozzle_function(0.1), row["share"], 0.5e-6 + 1e-9) << row["ratio"];
  EXPECT_NEAR(nozzle_function(0.5), 0.684731, 0.5e-6);
}

// The series used near equal pressures and the closed form meet: a different cut would show as a step.
TEST(AirNozzle, IsContinuousWhereItsSeriesEndsAndWhereItChokes) {
  for (const double u : {1e-3, 1 - critical_pressure_ratio}) {
    const double below = nozzle_function_slope(u * (1 - 1e-9)), above = nozzle_function_slope(u * (1 + 1e-9));
    EXPECT_NEAR(below / above, 1, 1e-8) << u;
  }
  EXPECT_NEAR(nozzle_function_slope(1e-12), 2, 1e-9);
}

// Classical free-air table, coefficient 1: every entry within 1 %. The hole's own laminar term is in it.
TEST(AirHole, MeetsTheClassicalFreeAirTable) {
  const double warm = (70 + 459.67) / 1.8, outside = 14.7 * psi;
  for (const ReferenceRow& row : reference_table("free_air_orifice.csv")) {
    const double flow =
        air_flow(Hole{row["diameter"] * inch, 1}, ports(outside + row["pressure"] * psi, outside, warm));
    const double cfm = flow / (outside / (Air::gas_constant * warm)) / cubic_foot_a_minute;
    EXPECT_NEAR(cfm / row["flow"], 1, 0.01) << row["pressure"] << " psi, " << row["diameter"] << " in";
  }
}

// DOE tip sheet: 0.967 of the ideal nozzle; 3.5 % at the two smallest sizes, whose entries are rounded to two
// digits, 1.2 % above.
TEST(AirHole, MeetsTheDoeTableWithItsFactor) {
  const double warm = (70 + 459.67) / 1.8, outside = 14.7 * psi;
  for (const ReferenceRow& row : reference_table("doe_air_leaks.csv")) {
    const double flow =
        air_flow(Hole{row["diameter"] * inch, 1}, ports(outside + row["pressure"] * psi, outside, warm));
    const double cfm = 0.967 * flow / (outside / (Air::gas_constant * warm)) / cubic_foot_a_minute;
    EXPECT_NEAR(cfm / row["leak"], 1, row["diameter"] < 0.05 ? 0.035 : 0.012)
        << row["pressure"] << " psi, " << row["diameter"] << " in";
  }
}

TEST(AirHole, PassesTheChokedFlowLessItsLaminarLoss) {
  for (const ReferenceRow& row : reference_table("air_leak_flow.csv")) {
    const double flow = air_flow(Hole{row["diameter"] * 1e-3, 0.61}, ports(101325 + 100 * psi, 101325));
    const double p1 = 101325 + 100 * psi, nozzle = as_air(Hole{row["diameter"] * 1e-3, 0.61}).nozzle;
    EXPECT_NEAR(nozzle * p1 / std::sqrt(Air::gas_constant * 293.15) * nozzle_function(101325 / p1) / row["flow"], 1,
                1e-5);
    EXPECT_LT(flow, row["flow"]);
    EXPECT_GT(flow, row["flow"] * (1 - 2.5e-4 * 0.25 / row["diameter"]))
        << row["diameter"];  // friction fades in proportion to 1/d
  }
}

TEST(Iso6358, MeetsTheStandardsEquation) {
  for (const ReferenceRow& row : reference_table("iso_6358.csv")) {
    const double u = 1 - row["downstream"] / 7;
    const double flow = std::sqrt(iso6358_squared_slope(Iso6358{1e-8, row["critical_ratio"]}, 7e5, 293.15, u) * u);
    EXPECT_NEAR(flow / row["flow"], 1, 1e-6) << row.text("row") << " " << row["downstream"];
    const double smooth = air_flow(Iso6358{1e-8, row["critical_ratio"]}, ports(7e5, row["downstream"] * 1e5));
    EXPECT_NEAR(smooth / row["flow"], 1, 1e-3) << "with its laminar film";
  }
}

// 1 mm2 ideal nozzle: C = 0.19919 dm3/(s.bar) (computed, row 5g). A component of that C and the nozzle's b passes what
// the nozzle passes: the same choked, and below that as much as ellipse and nozzle lie apart, 0.304 % at most (row 5k).
TEST(Iso6358, EllipseIsNearTheIsentropicNozzle) {
  const Iso6358 part{1.991949e-9, critical_pressure_ratio};
  const auto of_part = [&](double ratio) {
    return std::sqrt(iso6358_squared_slope(part, 7e5, 293.15, 1 - ratio) * (1 - ratio));
  };
  const auto of_nozzle = [](double ratio) {
    return 1e-6 * 7e5 / std::sqrt(Air::gas_constant * 293.15) * nozzle_function(ratio);
  };
  for (const double choked : {0.1, 0.3, 0.5}) EXPECT_NEAR(of_part(choked) / of_nozzle(choked), 1, 1e-6) << choked;
  double apart = 0;
  for (double ratio = 0.53; ratio < 0.9999; ratio += 0.001)
    apart = std::max(apart, std::abs(of_part(ratio) / of_nozzle(ratio) - 1));
  EXPECT_NEAR(apart, 0.00304, 0.00005);
}

// Thin film, nozzle wide open: closed form of the isothermal film, (p1^2 - p2^2).
TEST(AirGap, FollowsTheDifferenceOfSquares) {
  const Gap gap{10e-3, 2e-6, 20e-3, 0.5, 3};
  const double mu = Air::viscosity(293.15);
  for (const double p1 : {1.1e5, 3e5, 8e5}) {
    const double exact = 3 * 10e-3 * std::pow(2e-6, 3) * (1 + 1.5 * 0.25) / (12 * mu * 20e-3) * (p1 * p1 - 1e10) /
                         (2 * Air::gas_constant * 293.15);
    EXPECT_NEAR(air_flow(gap, ports(p1, 1e5)) / exact, 1, 2e-4) << p1;
  }
}

// Sutherland's air at 0 and 20 degC: 17.16 and 18.13 uPa.s (tables of the US Standard Atmosphere, from memory).
TEST(AirGap, UsesTheViscosityOfAir) {
  EXPECT_NEAR(Air::viscosity(273.15), 17.16e-6, 0.02e-6);
  EXPECT_NEAR(Air::viscosity(293.15), 18.13e-6, 0.03e-6);
}

const Element passing[] = {
    Hole{0.5e-3}, Gap{20e-3, 30e-6, 2e-3, 0, 2}, Passage{6e-3, 0.3}, Pump{}, Injector{}, Screen{}, Line{}, LubePump{}};

TEST(AirElements, AreOddInThePressures) {
  for (const Element& element : passing)
    for (const double dp : {1.0, 1e3, 4e5})
      EXPECT_DOUBLE_EQ(element_air_flow(element, ports(1e5 + dp, 1e5)),
                       -element_air_flow(element, ports(1e5, 1e5 + dp)))
          << kind_of(element) << dp;
}

// The slope at equal pressures is finite and the same from both sides; with the pure nozzle it would grow without
// bound.
TEST(AirElements, HaveAFiniteSlopeAtEqualPressures) {
  for (const Element& element : passing) {
    const double tiny = element_air_flow(element, ports(1e5 + 1e-4, 1e5)) / 1e-4,
                 small = element_air_flow(element, ports(1e5 + 1e-3, 1e5)) / 1e-3;
    EXPECT_GT(tiny, 0);
    EXPECT_NEAR(tiny / small, 1, 0.02) << kind_of(element);
  }
}

TEST(AirElements, NeverPassMoreThanTheirChokedNozzle) {
  for (const double clearance : {1e-6, 1e-5, 1e-4, 1e-3}) {
    const Gap gap{20e-3, clearance, 2e-3, 0, 1};
    EXPECT_LE(air_flow(gap, ports(8e5, 1e5)),
              as_air(gap).nozzle * 8e5 / std::sqrt(Air::gas_constant * 293.15) * 0.684732);
  }
}

// Small pressure differences of air are incompressible: the hole's law is then the oil's, with the air's density and
// viscosity.
TEST(AirElements, BecomeTheOilsLawForSmallDifferences) {
  Oil thin;
  thin.density = 1e5 / (Air::gas_constant * 293.15);
  thin.viscosity = Air::viscosity(293.15);
  const double p1 = 1e5 + 20;
  const Ports<double> oil_ports{p1, 1e5, {0, 0}};
  const Hole hole{0.5e-3};
  const Gap gap{20e-3, 30e-6, 2e-3, 0, 1};
  EXPECT_NEAR(air_flow(hole, ports(p1, 1e5)) / (thin.density * hole.volume_flow(oil_ports, {}, thin)), 1, 1e-3);
  EXPECT_NEAR(air_flow(gap, ports(p1, 1e5)) / (thin.density * gap.volume_flow(oil_ports, {}, thin)), 1, 1e-3);
}

TEST(AirElements, LiftingSealIsShutAndCheckValveHolds) {
  const LiftingSeal seal{2e-3, 250 * psi, 600 * psi};
  EXPECT_EQ(air_flow(seal, ports(101325 + 120 * psi, 101325)), 0);
  EXPECT_GT(air_flow(seal, ports(101325 + 400 * psi, 101325)), 0);
  CheckValve valve;
  EXPECT_GT(air_flow(valve, ports(7e5, 1e5)), 0);
  EXPECT_EQ(air_flow(valve, ports(1e5, 7e5)), 0);
  valve.seat_leak = 0.2e-3;
  EXPECT_DOUBLE_EQ(air_flow(valve, ports(1e5, 7e5)), -air_flow(Hole{0.2e-3}, ports(7e5, 1e5)));
}

TEST(AirElements, RegulatorShutsWithCurrent) {
  const Regulator regulator;
  AirPorts<double> port = ports(101325 + 100 * psi, 101325);
  EXPECT_GT(air_flow(regulator, port), 0);
  port.coil_current = 0.7;
  EXPECT_EQ(air_flow(regulator, port), 0);
  Regulator stuck = regulator;
  stuck.stuck_open = 0.25;
  EXPECT_DOUBLE_EQ(air_flow(stuck, port), 0.25 * air_flow(Hole{stuck.diameter}, port));
}

TEST(AirElements, EveryKindHasAnAirLaw) {
  for (const Element& element : each_element()) EXPECT_TRUE(has_air_law(element)) << kind_of(element);
}

// Common practice of the trade, derived: per 1 cm3/s of oil at 90 degC (15.7 mPa.s) and 3.45 MPa a clearance passes
// about 34 times the air of a hole at 100 psi. Long narrow film, so that friction rules; air of 0.021 mPa.s is at 80
// degC.
TEST(AirElements, ExaggerateClearancesAbout34Fold) {
  Oil hot;
  hot.density = 828;  // 875 - 0.63*(90 - 15)
  hot.viscosity = 15.7e-3;
  const Ports<double> crank{101325 + 3.45e6, 101325, {0, 0}};
  const Hole hole{0.147e-3, 0.65};
  const Gap gap{25e-3, 10e-6, 10e-3, 0, 4};
  const double warm = 353;
  const AirPorts<double> shop = ports(101325 + 100 * psi, 101325, warm);
  const double by_hole = standard_flow(air_flow(hole, shop)) / hole.volume_flow(crank, {}, hot);
  const double by_gap = standard_flow(air_flow(gap, shop)) / gap.volume_flow(crank, {}, hot);
  EXPECT_NEAR(by_gap / by_hole, 34, 4);
}

}  // namespace
}  // namespace railseep
