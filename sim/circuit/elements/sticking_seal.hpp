#pragma once

#include <algorithm>
#include <array>

#include "circuit/elements/hole.hpp"

namespace railseep {

/// Lifting seal with friction in its groove: once lifted it closes at a lower pressure than it opened.
///
///     tau*dz/dt = dead_zone(drive((dp - p_open)/(p_full - p_open)) - z, h),    Q = s(z)*Q_hole(d)        own state 0:
///     z [-]
///
/// It begins to lift h*(p_full - p_open) above p_open and is shut again as much below it (sticking_drive, dead_zone:
/// resistance.hpp). Source: assumed shape: the rubber moves only while what drives it exceeds friction h, a share of
/// the full opening.
struct StickingSeal {
  double diameter = 1e-3;         // hole when fully lifted [m]
  double opening_pressure = 1e6;  // p_open [Pa] across the seal, without friction
  double full_pressure = 2e6;     // p_full [Pa]
  double friction = 0.2;          // [-]
  double lag = 0.02;              // tau [s]

  static constexpr std::string_view kind = "sticking seal";
  static constexpr int own_states = 1;
  static constexpr auto parameters() {
    using T = StickingSeal;
    return std::array{
        Parameter<T>{"diameter", Quantity::length, &T::diameter, 0, 0.1, "mm", "hole when fully lifted"},
        Parameter<T>{"opening_pressure", Quantity::pressure, &T::opening_pressure, 0, 5e7, "psi", "lifts above this"},
        Parameter<T>{"full_pressure", Quantity::pressure, &T::full_pressure, 1, 6e7, "psi", "fully lifted at this"},
        Parameter<T>{"friction", Quantity::ratio, &T::friction, 0, 0.5, "%",
                     "friction, as a share of the full opening"},
        Parameter<T>{"lag", Quantity::time, &T::lag, 1e-4, 10, "ms", "time constant of the rubber"}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    return smooth_step(port.own[0]) * Hole{diameter}.flow_through(S(port.from - port.to), oil);
  }

  template <class S>
  std::array<S, 2> own_rates(const Ports<S>& port, const Signals<S>&, const Oil&) const {
    const double span = std::max(full_pressure - opening_pressure, 1e4);
    const S driven = sticking_drive(S((port.from - port.to - opening_pressure) / span), friction);
    return {S(dead_zone(S(driven - port.own[0]), friction) / lag), S(0.0 * port.from)};
  }

  std::array<double, 2> own_start() const { return {0, 0}; }
  static constexpr std::array<double, 2> own_scale{1.0, 1.0};
};

}  // namespace railseep
