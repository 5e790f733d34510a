#pragma once

#include "circuit/air/restriction.hpp"

namespace railseep {

/// Pneumatic component known by its catalogue numbers: the hose with its regulator and shut-off, the adapter in the
/// sensor's port.
///
///     m = C*rho0*p1*sqrt(T0/T1)                                        p2/p1 <= b
///     m = C*rho0*p1*sqrt(T0/T1)*sqrt(1 - ((p2/p1 - b)/(1 - b))^2)      p2/p1 >  b
///
/// Source: ISO 6358-1:2013, exponent 0.5; rho0 = 1.185 kg/m3 and T0 = 293.15 K of ISO 8778 (equation read in public
/// documentation). Near equal pressures a laminar film as of a hole of the same size keeps the slope finite.
struct Iso6358 {
  double sonic_conductance = 2.5e-8;     // C [m3/(s.Pa)], 1e-8 = 1 dm3/(s.bar)
  double critical_pressure_ratio = 0.3;  // b [-]

  static constexpr double standard_density = 1.185, standard_temperature = 293.15;
};

/// m^2/u with u = 1 - p2/p1, without the laminar film [kg2/s2].
template <class S>
S iso6358_squared_slope(const Iso6358& part, const S& p1, const S& temperature, const S& u) {
  const double c = part.sonic_conductance * Iso6358::standard_density, span = 1.0 - part.critical_pressure_ratio;
  const S choked = c * c * p1 * p1 * Iso6358::standard_temperature / temperature;
  if (u >= span) return S(choked / u);
  return choked * (2.0 - u / span) / span;
}

template <class S>
S air_flow(const Iso6358& part, const AirPorts<S>& port) {
  using std::sqrt;
  if (part.sonic_conductance <= 0) return S(0.0 * port.from);
  const bool forward = port.from >= port.to;
  const S& p1 = forward ? port.from : port.to;
  const S& temperature = forward ? port.temperature_from : port.temperature_to;
  const S u = (forward ? S(port.from - port.to) : S(port.to - port.from)) / p1;
  // A hole of Cd = 1 with this conductance: A = C*rho0*sqrt(R*T0)/psi(choked).
  const double area = part.sonic_conductance * Iso6358::standard_density *
                      std::sqrt(Air::gas_constant * Iso6358::standard_temperature) / 0.684731;
  const double film = round_hole(std::sqrt(4.0 * area / std::numbers::pi), 1.0).film;
  const S laminar = film * p1 * p1 * (2.0 - u) / (2.0 * Air::viscosity(temperature) * Air::gas_constant * temperature);
  const S flow = 2.0 * laminar * u /
                 (1.0 + sqrt(1.0 + 4.0 * laminar * laminar * u / iso6358_squared_slope(part, p1, temperature, u)));
  return forward ? flow : S(-flow);
}

}  // namespace railseep
