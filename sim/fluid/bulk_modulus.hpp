#pragma once

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

}  // namespace railseep
