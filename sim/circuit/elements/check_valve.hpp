#pragma once

#include <algorithm>
#include <array>

#include "circuit/elements/hole.hpp"

namespace railseep {

/// Lets oil pass one way once the cracking pressure is exceeded; leaks back through its seat.
///
///     Q = s((dp - p_crack)/(p_full - p_crack)) * Q_hole(d) + Q_hole(d_seat)       s: smooth step from 0 to 1
///
/// Source: quasi-static poppet, lumped (assumed shape of the opening). Leaves out: poppet inertia and chatter.
struct CheckValve {
  double diameter = 5e-3;          // fully open bore [m]
  double cracking_pressure = 2e4;  // p_crack [Pa]
  double full_pressure = 1e5;      // p_full [Pa]
  double seat_leak = 0;            // d_seat [m], hole of equal leakage when shut
  double discharge_coefficient = 0.7;

  static constexpr std::string_view kind = "check valve";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    using C = CheckValve;
    return std::array{
        Parameter<C>{"diameter", Quantity::length, &C::diameter, 1e-5, 0.1, "mm", "bore when fully open"},
        Parameter<C>{"cracking_pressure", Quantity::pressure, &C::cracking_pressure, 0, 6e7, "psi", "begins to open"},
        Parameter<C>{"full_pressure", Quantity::pressure, &C::full_pressure, 1, 8e7, "psi", "fully open"},
        Parameter<C>{"seat_leak", Quantity::length, &C::seat_leak, 0, 0.02, "mm", "hole that leaks as its seat does",
                     0.0},
        Parameter<C>{"discharge_coefficient", Quantity::ratio, &C::discharge_coefficient, 0.05, 1, "",
                     "discharge coefficient", 0.7}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    const S dp = port.from - port.to;
    const double span = std::max(full_pressure - cracking_pressure, 1e3);
    const S open = smooth_step(S((dp - cracking_pressure) / span));
    return open * Hole{diameter, discharge_coefficient}.flow_through(dp, oil) + Hole{seat_leak}.flow_through(dp, oil);
  }
};

}  // namespace railseep
