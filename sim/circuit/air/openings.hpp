#pragma once

#include <algorithm>

#include "circuit/air/restriction.hpp"
#include "circuit/elements/check_valve.hpp"
#include "circuit/elements/hole.hpp"
#include "circuit/elements/lifting_seal.hpp"
#include "circuit/elements/regulator.hpp"
#include "circuit/elements/screen.hpp"
#include "circuit/elements/sticking_seal.hpp"

// Elements that oil passes through an edge: with air in them they are nozzles. What opens them is the same as with oil.
namespace railseep {

inline Restriction as_air(const Hole& hole) { return round_hole(hole.diameter, hole.discharge_coefficient); }

template <class S>
S air_flow(const Hole& hole, const AirPorts<S>& port) {
  return air_through(as_air(hole), port);
}

/// Shut below its opening pressure, which shop air does not reach: silent.
template <class S>
S air_flow(const LiftingSeal& seal, const AirPorts<S>& port) {
  const double span = std::max(seal.full_pressure - seal.opening_pressure, 1e4);
  const S open = smooth_step(S((port.from - port.to - seal.opening_pressure) / span));
  return open * air_flow(Hole{seal.diameter}, port);
}

template <class S>
S air_flow(const StickingSeal& seal, const AirPorts<S>& port) {
  return air_flow(LiftingSeal{seal.diameter, seal.opening_pressure, seal.full_pressure}, port);
}

/// As many holes as are not blocked.
template <class S>
S air_flow(const Screen& screen, const AirPorts<S>& port) {
  const double open = screen.openings * (1.0 - screen.blocked);
  const Restriction one = as_air(Hole{screen.mesh});
  return air_through(Restriction{open * one.film, open * one.nozzle}, port);
}

template <class S>
S air_flow(const CheckValve& valve, const AirPorts<S>& port) {
  const double span = std::max(valve.full_pressure - valve.cracking_pressure, 1e3);
  const S open = smooth_step(S((port.from - port.to - valve.cracking_pressure) / span));
  return open * air_flow(Hole{valve.diameter, valve.discharge_coefficient}, port) +
         air_flow(Hole{valve.seat_leak}, port);
}

/// At rest with the current that flows: no lag, the spool has had time. Without current it opens as soon as the air
/// exceeds its spring.
template <class S>
S air_flow(const Regulator& regulator, const AirPorts<S>& port) {
  const S set = regulator.set_pressure(port.coil_current);
  const S wanted = smooth_step(S((port.from - port.to - set) / regulator.override_pressure));
  const S open = regulator.stuck_open + (1.0 - regulator.stuck_open) * (1.0 - regulator.stuck_closed) * wanted;
  return open * air_flow(Hole{regulator.diameter}, port) + air_flow(Hole{regulator.seat_leak}, port);
}

}  // namespace railseep
