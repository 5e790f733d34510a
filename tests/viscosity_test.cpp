#include "fluid/viscosity.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "fluid/oil.hpp"
#include "quantity/error.hpp"
#include "reference_table.hpp"

using namespace railseep;

namespace {

constexpr double mm2_per_s = 1e-6;  // [m2/s]

// The line of a row with columns zero_celsius, nu_40, nu_100.
ViscosityLine line_of(const ReferenceRow& row) {
  const double zero = row["zero_celsius"];
  return {zero + 40, row["nu_40"] * mm2_per_s, zero + 100, row["nu_100"] * mm2_per_s};
}

// Plain midpoint rule: an average that owes nothing to the closed form.
double average(const auto& f, double from, double to, int steps = 2000) {
  double sum = 0;
  for (int i = 0; i < steps; ++i) sum += f(from + (to - from) * (i + 0.5) / steps);
  return sum / steps;
}

}  // namespace

// ASTM D341-20, section 5; rows 1a to 1e of tests/reference/README.md.
TEST(ViscosityLine, HasPublishedConstants) {
  for (const auto& row : reference_table("astm_d341_constants.csv")) {
    EXPECT_NEAR(line_of(row).intercept(), row["A"], row["half_unit"]) << row.text("row");
    EXPECT_NEAR(line_of(row).slope(), row["B"], row["half_unit"]) << row.text("row");
  }
}

TEST(ViscosityLine, MeetsPublishedViscosities) {
  for (const auto& row : reference_table("astm_d341_viscosities.csv")) {
    const double nu = line_of(row).at(row["zero_celsius"] + row["temperature"]) / mm2_per_s;
    EXPECT_NEAR(nu, row["nu"], row["tolerance"]) << row.text("row") << " at " << row["temperature"] << " degC";
  }
}

// ASTM D341-20, section 5, full form and inverse; row 1f.
TEST(ViscosityLine, FullFormOfZAndItsInverseMatchTheStandard) {
  for (const auto& row : reference_table("astm_d341_z.csv")) {
    const double z = d341_z(row["nu"] * mm2_per_s);
    EXPECT_NEAR(z, row["Z"], 1e-6);
    EXPECT_NEAR(d341_viscosity(z) / mm2_per_s, row["nu_back"], 1e-6);
  }
}

// What the comment promises: simple form and exact inverse from 5 mm2/s up, 2e-4 above 0.5 mm2/s.
TEST(ViscosityLine, FullFormBecomesSimpleFormForThickOil) {
  for (double nu = 5; nu < 2000; nu *= 1.1) {
    EXPECT_NEAR(d341_z(nu * mm2_per_s), nu + 0.7, 1e-9);
    EXPECT_NEAR(d341_viscosity(nu + 0.7) / mm2_per_s, nu, 1e-6);
  }
  for (double nu = 0.5; nu < 5; nu *= 1.02)
    EXPECT_NEAR(d341_viscosity(d341_z(nu * mm2_per_s)) / mm2_per_s / nu, 1, 2e-4) << nu;
}

TEST(ViscosityLine, FallsWithTemperature) {
  const ViscosityLine line(313.15, 110e-6, 373.15, 14.5e-6);
  for (double t = 230; t < 450; t += 5) EXPECT_GT(line.at(t), line.at(t + 5)) << t;
}

TEST(ViscosityLine, RefusesPointsThatAreNoOil) {
  EXPECT_THROW(ViscosityLine(313, 10e-6, 373, 20e-6), Error);   // thickens when heated
  EXPECT_THROW(ViscosityLine(373, 110e-6, 313, 14e-6), Error);  // points swapped
  EXPECT_THROW(ViscosityLine(313, 110e-6, 373, 0.1e-6), Error);
  EXPECT_THROW(ViscosityLine(-40, 110e-6, 373, 14e-6), Error);
  EXPECT_THROW(ViscosityLine(313, NAN, 373, 14e-6), Error);
}

// Closed form of Wright blending: in equal parts log10(Z) is the geometric mean.
TEST(FuelDilution, EqualPartsTakeTheGeometricMeanOfLogZ) {
  const double nu = blended_viscosity(100e-6, 9e-6, 0.5) / mm2_per_s;
  EXPECT_NEAR(std::log10(nu + 0.7), std::sqrt(std::log10(100.7) * std::log10(9.7)), 1e-9);
}

TEST(FuelDilution, ThinsStepByStepFromOilToFuel) {
  const double oil = 14.5e-6, fuel = 1.2e-6;
  EXPECT_NEAR(blended_viscosity(oil, fuel, 0) / oil, 1, 1e-9);
  EXPECT_NEAR(blended_viscosity(oil, fuel, 1) / fuel, 1, 2e-4);  // the inverse of D341
  for (double phi = 0; phi < 1; phi += 0.05)
    EXPECT_GT(blended_viscosity(oil, fuel, phi), blended_viscosity(oil, fuel, phi + 0.05)) << phi;
}

// Barus (1893); rows 1g, 1h, 1i. Pressures of the table are above atmospheric.
TEST(PressureViscosity, OilFollowsBarus) {
  for (const auto& row : reference_table("barus.csv")) {
    Oil oil;
    oil.pressure_viscosity = row["alpha"];
    EXPECT_NEAR(oil.viscosity_at(Oil::p0 + row["pressure"] * 1e6) / oil.viscosity, row["factor"], 1e-5);
  }
}

// Roelands' law (1966) is the better one far above rail pressure: oil.hpp states how far Barus' parts from it, from
// next to nothing up to 5 MPa to 3 to 6 % at 50 MPa. Rows 1h, 1i, 1k.
TEST(PressureViscosity, OilIsAsFarAboveRoelandsAsStated) {
  int far = 0;
  for (const auto& row : reference_table("roelands.csv")) {
    Oil oil;
    oil.pressure_viscosity = row["alpha"];
    const double above = oil.viscosity_at(Oil::p0 + row["pressure"] * 1e6) / oil.viscosity / row["factor"] - 1,
                 pressure = row["pressure"];
    EXPECT_GT(above, pressure < 50 ? 0 : 0.025) << row.text("row");
    EXPECT_LT(above, pressure < 10 ? 0.001 : pressure < 50 ? 0.01 : 0.06) << row.text("row");
    far += pressure == 50;
  }
  EXPECT_EQ(far, 3);
}

// Stachowiak & Batchelor, Table 2.3: the oils as thick as an engine oil at 60 degC (10 to 60 mPa.s), band +-30 %.
TEST(PressureViscosity, CoefficientLiesInTheBandOfMineralOils) {
  int oils = 0;
  for (const auto& row : reference_table("mineral_oil_pressure_viscosity.csv")) {
    EXPECT_GT(row["alpha_30"], row["alpha_60"]);
    EXPECT_GT(row["alpha_60"], row["alpha_100"]);
    if (row["mu_60"] < 10 || row["mu_60"] > 60) continue;
    EXPECT_NEAR(row["alpha_60"] * 1e-9 / engine_oil_pressure_viscosity, 1, 0.3) << row.text("oil");
    ++oils;
  }
  EXPECT_EQ(oils, 3);
}

// Row 1j: from p down to atmospheric.
TEST(FilmViscosity, MatchesClosedFormFromPressureToAtmosphere) {
  for (const auto& row : reference_table("barus_film.csv")) {
    Oil oil;
    oil.pressure_viscosity = row["alpha"];
    const double film = oil.film_viscosity(Oil::p0 + row["pressure"] * 1e6, Oil::p0);
    EXPECT_NEAR(oil.viscosity / film, row["factor"], 1e-6);
    const double x = row["alpha"] * row["pressure"] * 1e6;
    EXPECT_NEAR(oil.viscosity / film * x / -std::expm1(-x), 1, 1e-14);
  }
}

// The definition, by quadrature (midpoint error (alpha*dp/steps)^2/24, here below 2e-8), on both sides of atmospheric.
TEST(FilmViscosity, IsTheAverageAlongThePressureDrop) {
  Oil oil;
  for (const double alpha : {0.0, 2e-8, 3.4e-8}) {
    oil.pressure_viscosity = alpha;
    for (const double p1 : {0.02e6, 0.2e6, 5e6, 50e6})
      for (const double p2 : {0.1e6, 4.9e6, 20e6}) {
        const double fluidity = average([&](double p) { return 1 / oil.viscosity_at(p); }, p1, p2);
        EXPECT_NEAR(oil.film_viscosity(p1, p2) * fluidity, 1, 1e-7) << alpha << " " << p1 << " " << p2;
        EXPECT_DOUBLE_EQ(oil.film_viscosity(p1, p2), oil.film_viscosity(p2, p1));
      }
  }
}

TEST(FilmViscosity, IsThePointViscosityWithoutPressureDrop) {
  Oil oil;
  oil.pressure_viscosity = 2e-8;
  EXPECT_DOUBLE_EQ(oil.film_viscosity(20e6, 20e6), oil.viscosity_at(20e6));
}
