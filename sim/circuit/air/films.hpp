#pragma once

#include "circuit/air/restriction.hpp"
#include "circuit/elements/gap.hpp"
#include "circuit/elements/injector.hpp"
#include "circuit/elements/line.hpp"
#include "circuit/elements/lube_pump.hpp"
#include "circuit/elements/passage.hpp"
#include "circuit/elements/pump.hpp"

// Elements that oil creeps through: air is some 700 times thinner than hot oil, so it rushes.
namespace railseep {

/// k = w*h^3*(1 + 1.5*e^2)/(12*L); the nozzle has the inlet and exit loss of the oil's law, Cd = 1/sqrt(0.5 + 1).
inline Restriction as_air(const Gap& gap) {
  const double h = gap.clearance, open = gap.width * h;
  return {gap.count * open * h * h * (1.0 + 1.5 * gap.eccentricity * gap.eccentricity) / (12.0 * gap.length),
          gap.count * open / std::sqrt(1.5)};
}

template <class S>
S air_flow(const Gap& gap, const AirPorts<S>& port) {
  return air_through(as_air(gap), port);
}

/// k = pi*d^4/(128*L), Cd = 1/sqrt(K + f*L/d).
inline Restriction as_air(const Passage& passage) {
  const double d = passage.diameter, losses = passage.loss_coefficient + passage.friction_factor * passage.length / d;
  return {std::numbers::pi * d * d * d * d / (128.0 * passage.length),
          0.25 * std::numbers::pi * d * d / std::sqrt(std::max(losses, 1.0))};
}

template <class S>
S air_flow(const Passage& passage, const AirPorts<S>& port) {
  return air_through(as_air(passage), port);
}

/// An injector that is not driven is its spool's film.
template <class S>
S air_flow(const Injector& injector, const AirPorts<S>& port) {
  return air_flow(injector.film(), port);
}

/// A line as a passage of the same bore: air has no inertia to speak of.
template <class S>
S air_flow(const Line& line, const AirPorts<S>& port) {
  return air_flow(Passage{line.diameter, line.length, line.loss_coefficient, 0.03}, port);
}

/// Share of a pump's clearances that air finds while it stands: most pistons rest on closed ports. Assumed; a silent
/// air test does not clear a worn pump.
inline constexpr double standing_pump_share = 0.1;
inline constexpr double pump_clearance = 1e-5;         // of a piston [m], assumed
inline constexpr double pump_clearance_length = 1e-2;  // along a piston [m], assumed

/// The clearances of the standing pump, from its outlet back to its inlet: Wilson's slip as a film, k =
/// share*wear*Cs*D, that ends in a slit of the clearance of a piston.
inline Restriction as_air(const Pump& pump) {
  const double film = standing_pump_share * pump.wear * pump.slip * pump.displacement;
  const double open =
      12.0 * pump_clearance_length * film / (pump_clearance * pump_clearance);  // w*h of the film with this conductance
  return {film, open / std::sqrt(1.5)};
}

template <class S>
S air_flow(const Pump& pump, const AirPorts<S>& port) {
  return air_through(as_air(pump), port);
}

/// The standing lube pump: its clearances in the same way, its relief shut.
template <class S>
S air_flow(const LubePump& pump, const AirPorts<S>& port) {
  Pump alike;
  alike.displacement = pump.displacement, alike.slip = pump.slip, alike.wear = pump.wear;
  return air_flow(alike, port);
}

}  // namespace railseep
