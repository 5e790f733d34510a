#include "fluid/density.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "fluid/oil.hpp"
#include "quantity/error.hpp"
#include "reference_table.hpp"
#include "units.hpp"

using namespace railseep;

namespace {

constexpr double zero_celsius = 273.15;  // [K]
constexpr double sixty_degF = zero_celsius + 28 / 1.8;

}  // namespace

// ASTM D1250-04, lubricating oils; rows 2a to 2e.
TEST(OilDensity, FollowsD1250FromSixtyFahrenheit) {
  for (const auto& row : reference_table("astm_d1250_60F.csv")) {
    const double factor = ctl_from_60F(row["density_60F"], zero_celsius + row["temperature"]);
    EXPECT_NEAR(factor, row["CTL"], 1e-5) << row.text("row");
    EXPECT_NEAR(factor * row["density_60F"], row["density"], 0.005) << row.text("row");
  }
}

// ASTM D1250-80, table 54D; row 2f. Both editions describe the same oils; API MPMS 11.1 tables are printed to 0.1
// kg/m3.
TEST(OilDensity, AgreesWithTable54DToThePrintedTenth) {
  for (const auto& row : reference_table("astm_d1250_54D.csv"))
    EXPECT_NEAR(density_at_temperature(row["density_15"], zero_celsius + row["temperature"]),
                row["density_15"] * row["CTL"], 0.1)
        << row["density_15"] << " " << row["temperature"];
}

TEST(OilDensity, BaseConversionReturnsToFifteenCelsius) {
  for (const double rho15 : {830.0, 880.0, 950.0}) {
    const double rho60 = density_60F(rho15);
    EXPECT_LT(rho60, rho15);  // 60 degF is 15.56 degC
    EXPECT_NEAR(rho60 * ctl_from_60F(rho60, zero_celsius + 15) / rho15, 1, 1e-14);
    EXPECT_NEAR(density_at_temperature(rho15, sixty_degF) / rho60, 1, 1e-14);
  }
}

// Independent band: cubic expansion 4.6e-4 per degF of MIL-H-5606 and MIL-H-83282 (a flow-control maker's handbook),
// thin oils that expand more; D1250 at 880 kg/m3 gives 7.13e-4 per degC near 60 degF (computed from the equation).
TEST(OilDensity, ExpandsLikeAnOil) {
  const double t = sixty_degF;
  const double per_degC = std::log(ctl_from_60F(880, t - 0.5) / ctl_from_60F(880, t + 0.5));
  EXPECT_NEAR(per_degC, 7.13e-4, 0.005e-4);
  EXPECT_NEAR(per_degC / (4.6e-4 * 1.8), 1, 0.2);
}

TEST(OilDensity, FallsWithTemperature) {
  for (double t = 230; t < 450; t += 5) EXPECT_GT(density_at_temperature(880, t), density_at_temperature(880, t + 5));
}

TEST(OilDensity, RefusesWhatIsNoLubricatingOil) {
  EXPECT_THROW(density_at_temperature(0.88, 313), Error);  // written in kg/L
  EXPECT_THROW(density_at_temperature(1200, 313), Error);
  EXPECT_THROW(density_at_temperature(NAN, 313), Error);
}

// Murnaghan (1944), computed from the equation; row 2l.
TEST(OilDensity, FollowsMurnaghanUnderPressure) {
  Oil oil;
  oil.bulk_modulus = 1.3e9;
  oil.bulk_modulus_slope = 10;
  EXPECT_NEAR(oil.density_at(Oil::p0 + 20e6) / oil.density, 1.01441296, 1e-8);
  oil.bulk_modulus_slope = 0;
  EXPECT_NEAR(oil.density_at(Oil::p0 + 20e6) / oil.density, 1.01550357, 1e-8);
}

// Reference library: expm1l and log1pl of the C library, in whose long double there are at least three digits more
// (asserted). The series and the ranges beyond them, on both sides of where they change over.
TEST(OilDensity, CompressionLosesNoDigits) {
  static_assert(std::numeric_limits<long double>::digits > std::numeric_limits<double>::digits + 9);
  Oil oil;
  for (const double k : {0.6e9, 1.3e9, 2.5e9})
    for (const double m : {0.0, 0.5, 3.0, 10.0, 14.0}) {
      oil.bulk_modulus = k, oil.bulk_modulus_slope = m;
      for (double p = 1e2; p < 300e6; p *= 1.01) {
        const long double dp = p - Oil::p0;
        const long double exact = std::expm1(m == 0 ? dp / k : std::log1p(m * dp / k) / m);
        EXPECT_NEAR(oil.compression_at(p) / static_cast<double>(exact), 1, 2e-15) << k << " " << m << " " << p;
      }
    }
}

// K is by definition rho*dp/drho, here by central differences (error (m*h/K)^2/3, below 2e-10, and rounding).
TEST(OilDensity, SlopeIsTheBulkModulus) {
  Oil oil;
  for (const double m : {0.0, 5.0, 10.0, 14.0}) {
    oil.bulk_modulus_slope = m;
    for (const double p : {0.05e6, 0.101325e6, 1e6, 20e6, 50e6}) {
      const double h = 2e3;
      const double k = oil.density_at(p) * 2 * h / (oil.density_at(p + h) - oil.density_at(p - h));
      EXPECT_NEAR(k / oil.bulk_modulus_at(p), 1, 1e-9) << m << " " << p;
      EXPECT_GT(oil.density_at(p + h), oil.density_at(p));
    }
  }
}

// The handbook's worked examples, rows 2h and 2i: MIL-H-83282, K = 300 000 psi.
TEST(OilDensity, GivesTheHandbookExamples) {
  Oil oil;
  oil.bulk_modulus = 300000 * psi;
  EXPECT_NEAR(1 - oil.density / oil.density_at(Oil::p0 + 3000 * psi), 0.010, 0.0005);  // printed as 1.0 %
  // A closed volume heated from 70 to 120 degF must find its old density again: 3e5*4.6e-4*50 = 6900 psi.
  const double cold = oil.density;
  oil.density *= std::exp(-4.6e-4 * 50);
  EXPECT_NEAR(oil.density_at(Oil::p0 + 6900 * psi) / cold, 1, 1e-12);
}
