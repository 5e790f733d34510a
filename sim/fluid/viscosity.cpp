#include "fluid/viscosity.hpp"

#include <cmath>
#include <sstream>

#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double mm2_per_s = 1e-6;          // [m2/s]
constexpr double lowest_d341_nu = 0.21e-6;  // [m2/s], ASTM D341-20: where the full form ends

void check_point(double temperature, double nu) {
  if (temperature > 0 && nu >= lowest_d341_nu) return;
  std::ostringstream found;
  found << nu / mm2_per_s << " mm2/s at " << temperature << " K is not on the ASTM D341 chart";
  throw Error("oil viscosity", found.str(), "give at least 0.21 mm2/s at a temperature above 0 K");
}

double ordinate(double nu) { return std::log10(std::log10(d341_z(nu))); }

double from_ordinate(double w) { return d341_viscosity(std::pow(10.0, std::pow(10.0, w))); }

}  // namespace

double d341_z(double nu) {
  const double v = nu / mm2_per_s;
  return v + 0.7 + std::exp(-1.47 - 1.84 * v - 0.51 * v * v);
}

double d341_viscosity(double z) {
  const double v = z - 0.7;
  return (v - std::exp(-0.7487 - 3.295 * v + 0.6119 * v * v - 0.3193 * v * v * v)) * mm2_per_s;
}

ViscosityLine::ViscosityLine(double t1, double nu1, double t2, double nu2) {
  check_point(t1, nu1);
  check_point(t2, nu2);
  if (!(t1 < t2 && nu1 > nu2)) {
    std::ostringstream found;
    found << nu1 / mm2_per_s << " mm2/s at " << t1 << " K and " << nu2 / mm2_per_s << " mm2/s at " << t2 << " K";
    throw Error("oil viscosity", found.str(), "the second point must be hotter and thinner than the first");
  }
  const double x1 = std::log10(t1), x2 = std::log10(t2);
  b_ = (ordinate(nu1) - ordinate(nu2)) / (x2 - x1);
  a_ = ordinate(nu1) + b_ * x1;
}

double ViscosityLine::at(double temperature) const { return from_ordinate(a_ - b_ * std::log10(temperature)); }

double blended_viscosity(double nu_oil, double nu_fuel, double fuel_fraction) {
  const double phi = fuel_fraction;
  return from_ordinate((1 - phi) * ordinate(nu_oil) + phi * ordinate(nu_fuel));
}

}  // namespace railseep
