#include "fluid/bulk_modulus.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "reference_table.hpp"

using namespace railseep;

namespace {

constexpr double psi = 6894.757293168;  // [Pa]

Oil stiff_oil(double bulk_modulus, double gas_exponent) {
  Oil oil;
  oil.bulk_modulus = bulk_modulus;
  oil.gas.exponent = gas_exponent;
  return oil;
}

}  // namespace

// Compression only, K = 1500 MPa constant: row Ke. Rows are those of tests/reference/README.md.
TEST(AeratedOil, BulkModulusMatchesTheTable) {
  for (const auto& row : reference_table("entrained_air_modulus.csv")) {
    const Oil oil = stiff_oil(1.5e9, row["n"]);
    for (const int bar : {1, 2, 5, 10, 20, 50, 100, 200}) {
      const double p = bar == 1 ? Oil::p0 : bar * 1e5;
      const double expected = row["bar_" + std::to_string(bar)];
      const double tolerance = std::max(1e-5 * expected, 0.0005);
      EXPECT_NEAR(aerated_bulk_modulus(oil, row["air"] / 100, p) / 1e6, expected, tolerance)
          << row["air"] << " " << bar;
    }
  }
}

// Rows 2n, 2o.
TEST(AeratedOil, PumpedVolumeMatchesTheTable) {
  const Oil oil = stiff_oil(1.5e9, 1.4);
  for (const auto& row : reference_table("entrained_air_volume.csv"))
    EXPECT_NEAR(pumped_volume(oil, row["air"] / 100, row["pressure"] * 1e5), row["volume"], 1e-7) << row["air"];
}

// The exact definition Ke = -v*dp/dv, also where K itself rises with pressure (central differences in ln p).
TEST(AeratedOil, BulkModulusIsTheSlopeOfTheVolume) {
  Oil oil = stiff_oil(1.5e9, 1.2);
  for (const double m : {0.0, 10.0}) {
    oil.bulk_modulus_slope = m;
    for (const double air : {0.0, 1e-4, 0.02, 0.5, 1.0})
      for (const double p : {0.05e6, 0.3e6, 5e6, 30e6}) {
        const double h = 1e-3 * p;
        const double dv = aerated_volume(oil, air, p + h) - aerated_volume(oil, air, p - h);
        const double k = -aerated_volume(oil, air, p) * 2 * h / dv;
        EXPECT_NEAR(k / aerated_bulk_modulus(oil, air, p), 1, 3e-6) << m << " " << air << " " << p;
      }
  }
}

TEST(AeratedOil, LiesBetweenItsGasAndItsOil) {
  for (const double n : {1.0, 1.4}) {
    const Oil oil = stiff_oil(1.5e9, n);
    for (const double p : {0.02e6, 0.1e6, 1e6, 20e6}) {
      EXPECT_DOUBLE_EQ(aerated_bulk_modulus(oil, 0.0, p), oil.bulk_modulus_at(p));
      EXPECT_DOUBLE_EQ(aerated_bulk_modulus(oil, 1.0, p), n * p);
      double last = oil.bulk_modulus_at(p);
      for (const double air : {1e-6, 1e-3, 0.02, 0.2, 0.9, 0.999}) {
        const double k = aerated_bulk_modulus(oil, air, p);
        EXPECT_LT(k, last) << n << " " << p << " " << air;
        EXPECT_GT(k, n * p) << n << " " << p << " " << air;
        last = k;
      }
    }
  }
}

// Merritt, Hydraulic Control Systems (1967), example to Eq. 4-49; row 2m: steel pipe D/t = 10, 1 % of bubbles at 500
// psia, Bl = 250 000 psi; totals computed from his inputs, +-1 %. The wall term t*E/D = 3e6 psi is added here: nodes
// are rigid.
TEST(AeratedOil, GivesMerrittsExample) {
  const double p = 500 * psi, local = 0.01, wall = 3e6;
  for (const auto& [n, expected] : {std::pair{1.0, 41096.0}, std::pair{1.4, 53708.0}}) {
    const Oil oil = stiff_oil(250000 * psi, n);
    // Air at atmospheric pressure that leaves 1 % at p.
    const double liquid = oil.density / oil.density_at(p), gas = oil.gas.expansion(p);
    const double air = local * liquid / ((1 - local) * gas + local * liquid);
    const double mixture = aerated_bulk_modulus(oil, air, p) / psi;
    EXPECT_NEAR(1 / (1 / mixture + 1 / wall) / expected, 1, 0.01) << n;
  }
}

// Row 2j: a flow-control maker's handbook corrects K of MIL-H-83282 by factors for pressure, temperature and 2 % of
// air. It names no process; slow compression (n = 1) meets the example at 2000 psi to its printed thousand. At 500 psi
// its factor for air, 0.8, has one digit: a band of +-10 % (ours is 7 % below, fast compression 25 %).
TEST(AeratedOil, GivesTheHandbookExamplesWithAir) {
  struct Example {
    double pressure, pressure_factor, temperature_factor, expected, tolerance;  // all in psi
  };
  for (const Example& e : {Example{500, 0.91, 1.10, 240000, 24000}, Example{2000, 0.98, 0.86, 248000, 500}}) {
    const Oil oil = stiff_oil(300000 * psi * e.pressure_factor * e.temperature_factor, 1.0);
    EXPECT_NEAR(aerated_bulk_modulus(oil, 0.02, Oil::p0 + e.pressure * psi) / psi, e.expected, e.tolerance);
  }
}

// Row 2k. Shows that the formula is coded as written down; the formula itself is from memory.
TEST(HaywardModulus, MatchesItsOwnFormula) {
  for (const auto& row : reference_table("hayward_1970.csv")) {
    const double nu = row["nu_20"] * 1e-6, t = 273.15 + row["temperature"], dp = row["pressure"] * 1e6;
    EXPECT_NEAR(hayward_isothermal_modulus(nu, t, dp) / 1e9, row["isothermal"], 0.0005);
    EXPECT_NEAR(hayward_isentropic_modulus(nu, t, dp) / 1e9, row["isentropic"], 0.0005);
  }
}

// Rows 2g and 2j as bands of +-10 % for the unverified formula: MIL-H-5606 has 260 000 psi (a thin oil, 15 to 30 mm2/s
// at 20 degC, from memory); MIL-H-83282 loses the factor 0.86/1.10 from 60 to 160 degF.
TEST(HaywardModulus, LiesInTheBandOfTheHandbook) {
  const double t60 = 288.706, t160 = 344.261;
  for (const double nu : {15e-6, 30e-6}) {
    EXPECT_NEAR(hayward_isentropic_modulus(nu, 293.15, 0) / (260000 * psi), 1, 0.1);
    const double fade = hayward_isentropic_modulus(nu, t160, 0) / hayward_isentropic_modulus(nu, t60, 0);
    EXPECT_NEAR(fade / (0.86 / 1.10), 1, 0.1);
  }
}

// cp/cv of mineral oil is 1.15 to 1.17 (from memory); the two forms keep that ratio within 3 points.
TEST(HaywardModulus, IsentropicIsStifferByTheRatioOfHeats) {
  for (const double t : {273.15, 313.15, 373.15})
    EXPECT_NEAR(hayward_isentropic_modulus(300e-6, t, 0) / hayward_isothermal_modulus(300e-6, t, 0), 1.16, 0.03);
}

// Tangent and secant modulus are two descriptions of one compression: with m = 10 the oil must follow
// Hayward's secant within 1 % (m = 0 would be 5 % off at 20 MPa).
TEST(HaywardModulus, SecantOfTheOilAgreesUpToRailPressure) {
  Oil oil = stiff_oil(hayward_isentropic_modulus(300e-6, 363.15, 0), 1.0);
  oil.bulk_modulus_slope = assumed_bulk_modulus_slope;
  for (const double dp : {1e6, 5e6, 20e6, 40e6}) {
    const double secant = dp / pumped_volume(oil, 0.0, Oil::p0 + dp);
    EXPECT_NEAR(secant / hayward_isentropic_modulus(300e-6, 363.15, dp), 1, 0.01) << dp;
  }
}
