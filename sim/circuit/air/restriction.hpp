#pragma once

#include <cmath>
#include <numbers>

#include "fluid/air.hpp"

namespace railseep {

/// What an element sees when it is filled with air: absolute pressures [Pa] and temperatures [K] of the air on its two
/// sides, and the current in the regulator's coil [A]. S is double, or a dual number when the exact Jacobian is wanted.
template <class S>
struct AirPorts {
  S from, to;
  S temperature_from, temperature_to;
  S coil_current;
};

/// A restriction as air feels it: a laminar film that ends in a nozzle.
struct Restriction {
  double film = 0;    // k [m3]: laminar mass flow is k/mu*(p1^2 - p2^2)/(2*R*T)
  double nozzle = 0;  // Cd*A [m2]: without friction it passes what a nozzle of this area does
};

/// Air through a film and a nozzle in series [kg/s], from -> to:
///
///     m/m_film + (m/m_nozzle)^2 = 1        m_film = k/mu*(p1^2 - p2^2)/(2*R*T1),   m_nozzle =
///     Cd*A*p1/sqrt(R*T1)*psi(p2/p1)
///
/// Exact in both limits, never above the choked nozzle, odd, and with a finite slope where the pressures are equal; for
/// small pressure differences it is the oil's law  dp = R_l*Q + R_t*Q|Q|.  T1 is the temperature of the side the air
/// comes from. Source: film isothermal perfect gas in lubrication theory; nozzle NACA Report 1135; the joining in
/// series is our own. Leaves out: slip of the gas in films below 1 um, transonic friction in long films.
template <class S>
S air_through(const Restriction& restriction, const AirPorts<S>& port) {
  using std::sqrt;
  if (restriction.film <= 0 || restriction.nozzle <= 0) return S(0.0 * port.from);
  const bool forward = port.from >= port.to;
  const S& p1 = forward ? port.from : port.to;
  const S& temperature = forward ? port.temperature_from : port.temperature_to;
  const S u = (forward ? S(port.from - port.to) : S(port.to - port.from)) / p1;  // 1 - p2/p1
  const S rt = Air::gas_constant * temperature;
  const S film = restriction.film * p1 * p1 * (2.0 - u) / (2.0 * Air::viscosity(temperature) * rt);    // m_film/u
  const S nozzle = restriction.nozzle * restriction.nozzle * p1 * p1 / rt * nozzle_function_slope(u);  // m_nozzle^2/u
  const S flow = 2.0 * film * u / (1.0 + sqrt(1.0 + 4.0 * film * film * u / nozzle));
  return forward ? flow : S(-flow);
}

/// Sharp-edged round hole of Cd*A: laminar limit k = d^3/24 (Sampson 1891, from memory), as for oil.
inline Restriction round_hole(double diameter, double discharge_coefficient) {
  const double d = diameter;
  return {d * d * d / 24.0, discharge_coefficient * 0.25 * std::numbers::pi * d * d};
}

}  // namespace railseep
