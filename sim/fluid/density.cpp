#include "fluid/density.hpp"

#include <cmath>
#include <sstream>

#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double zero_celsius = 273.15;  // [K]
constexpr double k1_per_degF = 0.34878;  // ASTM D1250-04, lubricating oils

// @param x a*dT [-]
double ctl(double x) { return std::exp(-x * (1 + 0.8 * x)); }

double fahrenheit(double temperature) { return (temperature - zero_celsius) * 1.8 + 32; }

}  // namespace

double ctl_from_60F(double density_60F, double temperature) {
  return ctl(k1_per_degF / density_60F * (fahrenheit(temperature) - 60));
}

double density_60F(double density_15) {
  // Fixed point of rho60 = rho15/CTL(rho60). One degF moves CTL by 4e-4, so each pass gains more than three digits.
  double rho = density_15;
  for (int pass = 0; pass < 5; ++pass) rho = density_15 / ctl_from_60F(rho, zero_celsius + 15);
  return rho;
}

double density_at_temperature(double density_15, double temperature) {
  const double rho = density_60F(density_15);
  if (!(rho >= 801 && rho <= 1164)) {
    std::ostringstream found;
    found << density_15 << " kg/m3 at 15 degC is outside the range of ASTM D1250";
    throw Error("oil density", found.str(), "a lubricating oil has 801 to 1164 kg/m3");
  }
  return rho * ctl_from_60F(rho, temperature);
}

}  // namespace railseep
