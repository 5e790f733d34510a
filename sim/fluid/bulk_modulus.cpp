#include "fluid/bulk_modulus.hpp"

#include <cmath>

namespace railseep {

namespace {

// @param base, fade the two constants in which the isothermal and the isentropic form differ
double hayward(double base, double fade, double nu20, double temperature, double dp) {
  const double celsius = temperature - 273.15;
  const double k0 = (base + 0.15 * std::log10(nu20 * 1e6)) * std::pow(10.0, fade * (20 - celsius)) * 1e9;
  return k0 + 5.6 * dp;
}

}  // namespace

double hayward_isothermal_modulus(double nu20, double temperature, double dp) {
  return hayward(1.30, 0.0023, nu20, temperature, dp);
}

double hayward_isentropic_modulus(double nu20, double temperature, double dp) {
  return hayward(1.57, 0.0024, nu20, temperature, dp);
}

}  // namespace railseep
