#pragma once

#include <array>

namespace railseep {

/// A jet of gas leaving an opening: what its noise depends on.
struct Jet {
  double mass_flow = 0;   // m [kg/s]
  double upstream = 0;    // p1, absolute [Pa]
  double downstream = 0;  // p2, absolute [Pa]
  double density = 0;     // rho1 upstream [kg/m3]
  double gamma = 1.4;     // ratio of specific heats [-]
  double diameter = 0;    // Dj [m]
  double recovery = 1;    // FL, or FLP/FP with fittings [-]; 1 for a free jet
};

/// Sound power of a jet.
struct JetNoise {
  int regime = 1;               // 1 subsonic, 2 sonic with recompression, 3 none, 4 Mach disc, 5 constant efficiency
  double mechanical_power = 0;  // Wm [W]
  double efficiency = 0;        // eta [-]
  double peak_frequency = 0;    // fp [Hz]
  double power = 0;             // Wa = eta*Wm [W]
};

/// x = (p1-p2)/p1, x_vcc = 1 - (2/(k+1))^(k/(k-1)), xc = FL^2*x_vcc, alpha = (1-x_vcc)/(1-xc)
///
///     I       x <= xc             Wm = 0.5*m*(Mvc*cvc)^2   eta = 10^An*FL^2*Mvc^3            fp = Stp*Mvc*cvc/Dj
///     II, III to x_vcc, to xB     Wm = 0.5*m*cvcc^2        eta = 10^An*[x/x_vcc]*Mj^(6.6 FL^2)  fp = Stp*Mj*cvcc/Dj
///     IV, V   to xCE, beyond      Wm = 0.5*m*cvcc^2        eta = 0.5*10^An*Mj^2*2^(3.3 FL^2)    fp
///     = 1.4*Stp*cvcc/(Dj*sqrt(Mj^2-1))
///
/// Source: IEC 60534-8-3:2010, through an open implementation that meets the standard's six examples; An = -3.8, Stp =
/// 0.2. Valid for ordering jets against each other; a leak in an engine is not the valve the standard was measured on.
JetNoise jet_noise(const Jet& jet);

/// Share of the sound power in the one-third octave band around f, as level [dB]:
///     -8 - 10*log10([1 + (f/(2*fp))^2.5]*[1 + (fp/(2*f))^1.7])        Source: the same.
double jet_band_level(double frequency, double peak_frequency);

/// Sound power level re 1 pW [dB].
double power_level(double power);

/// Pressure before the exit of a slit whose friction has eaten part of it: the p_e at which the nozzle alone passes the
/// flow [Pa].
double exit_pressure(double mass_flow, double nozzle, double upstream, double downstream, double temperature);

}  // namespace railseep
