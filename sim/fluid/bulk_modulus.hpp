#pragma once

#include "fluid/oil.hpp"

namespace railseep {

/// Secant bulk moduli of a mineral oil free of air [Pa].
///
///     Kt = (1.30 + 0.15*log10(nu20))*10^(0.0023*(20 - T))*1e9 + 5.6*dp      isothermal
///     Ks = (1.57 + 0.15*log10(nu20))*10^(0.0024*(20 - T))*1e9 + 5.6*dp      isentropic      nu20 in mm2/s, T in degC
///
/// Source: Hayward (1970), FROM MEMORY AND UNVERIFIED: good as an assumed default and as a band of +-10 %, no more.
/// Valid:  dp below 80 MPa.
///
/// @param nu20 kinematic viscosity at 20 degC [m2/s] @param temperature [K] @param dp pressure above atmospheric [Pa]
double hayward_isothermal_modulus(double nu20, double temperature, double dp);
double hayward_isentropic_modulus(double nu20, double temperature, double dp);

// What oil_at() takes, both assumed:
//
// K0: Hayward's isentropic value at dp = 0, where secant and tangent are the same. Isentropic, because oil in a rail
// keeps its heat: with a thermal diffusivity near 8e-8 m2/s (assumed) a bore of 20 mm needs R^2/(5.78*D) = 200 s to
// level out, far more than a crank. Isothermal would be about 14 % softer. Air and drained volume, not K, set the time
// to fill.
//
// m: a tangent modulus K0 + m*dp has the secant modulus K0 + (m + 1)/2*dp + ..., so Hayward's 5.6 means m = 10.2. The
// band is 8 to 12 (from memory); a handbook's pressure correction for MIL-H-83282 (0.91 at 500 psi, 0.98 at 2000 psi)
// means 14 +-2.
inline constexpr double assumed_bulk_modulus_slope = 10;

/// Volume at p of what fills one volume at atmospheric pressure, oil and free air together [-].
///
///     v = vl + vg      vl = (1 - a0)*rho0/rho(p)      vg = a0*(p0/p)^(1/n)
///
/// "Compression only". Leaves out air going into solution, which makes oil held under pressure stiffer as time passes.
///
/// @param air a0, volume fraction of free air at atmospheric pressure [-], 0 to 1 @param p absolute [Pa], above 0
template <class S>
S aerated_volume(const Oil& oil, double air, const S& p) {
  return (1 - air) * oil.density / oil.density_at(p) + air * oil.gas.expansion(p);
}

/// Tangent bulk modulus of oil with free air [Pa]: exactly -v*dp/dv of aerated_volume().
///
///     Ke = (vl + vg)/(vl/K(p) + vg/(n*p))
///
/// Source: as Merritt, Hydraulic Control Systems (1967), Eq. 4-49 without the wall term, but with the air fraction that
/// is left AT p. Putting in a0 itself would give a third of the true value at 5 bar.
template <class S>
S aerated_bulk_modulus(const Oil& oil, double air, const S& p) {
  const S vl = (1 - air) * oil.density / oil.density_at(p);
  const S vg = air * oil.gas.expansion(p);
  return (vl + vg) / (vl / oil.bulk_modulus_at(p) + vg / (oil.gas.exponent * p));
}

/// Share of a rigid space that compression from p0 to p frees, and that the pump must fill [-].
///
///     dV/V0 = (1 - a0)*(1 - rho0/rho(p)) + a0*(1 - (p0/p)^(1/n))
template <class S>
S pumped_volume(const Oil& oil, double air, const S& p) {
  return 1.0 - aerated_volume(oil, air, p);
}

}  // namespace railseep
