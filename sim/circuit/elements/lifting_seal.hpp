#pragma once

#include <algorithm>
#include <array>

#include "circuit/elements/hole.hpp"

namespace railseep {

/// Seal that holds at low pressure and is lifted or extruded at high pressure: silent to shop air, leaking in the
/// crank.
///
///     Q = s((dp - p_open)/(p_full - p_open)) * Q_hole(d)       s: smooth step from 0 to 1
///
/// Source: assumed shape (common practice knows the behaviour, no measured curve was found). Leaves out: hysteresis.
struct LiftingSeal {
  double diameter = 1e-3;         // hole when fully lifted [m]
  double opening_pressure = 1e6;  // p_open [Pa] across the seal
  double full_pressure = 2e6;     // p_full [Pa] across the seal

  static constexpr std::string_view kind = "lifting seal";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    return std::array{Parameter<LiftingSeal>{"diameter", Quantity::length, &LiftingSeal::diameter, 0, 0.1, "mm",
                                             "hole when fully lifted"},
                      Parameter<LiftingSeal>{"opening_pressure", Quantity::pressure, &LiftingSeal::opening_pressure, 0,
                                             5e7, "psi", "lifts above this"},
                      Parameter<LiftingSeal>{"full_pressure", Quantity::pressure, &LiftingSeal::full_pressure, 1, 6e7,
                                             "psi", "fully lifted at this"}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    const S dp = port.from - port.to;
    const double span = std::max(full_pressure - opening_pressure, 1e4);
    return smooth_step(S((dp - opening_pressure) / span)) * Hole{diameter}.flow_through(dp, oil);
  }
};

}  // namespace railseep
