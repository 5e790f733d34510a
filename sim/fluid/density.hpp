#pragma once

namespace railseep {

// Density of lubricating oil against temperature at atmospheric pressure. The pressure effect is Oil::density_at.
//
//     CTL = exp{ -a*dT*(1 + 0.8*a*dT) }      a = K1/rho_base      rho(T) = rho_base*CTL
//
// Valid: -50 to 150 degC (from memory) and 801 to 1164 kg/m3 at the base; beyond 150 degC extrapolated.

/// CTL from 60 degF by ASTM D1250-04 (API MPMS ch. 11.1), lubricating-oil group: K1 = 0.34878 per degF.
///
/// Leaves out: the standard's rounding and its shift to the 1968 temperature scale (together below 2e-5).
/// @param density_60F rho at 60 degF [kg/m3] @param temperature [K]
double ctl_from_60F(double density_60F, double temperature);

/// rho at 60 degF [kg/m3] of an oil known at 15 degC, the temperature of European data sheets.
double density_60F(double density_15);

/// rho at any temperature [kg/m3] by ASTM D1250-04. @throws Error when density_15 is that of no lubricating oil
double density_at_temperature(double density_15, double temperature);

}  // namespace railseep
