#pragma once

#include <array>
#include <cmath>
#include <numbers>

#include "circuit/elements/port.hpp"
#include "circuit/elements/resistance.hpp"

namespace railseep {

/// Sharp-edged hole with oil on both sides: a leak, a port or a jet.
///
///     dp = R_l*Q + R_t*Q|Q|,   R_t = rho/(2*(Cd*A)^2),   R_l = 24*mu/d^3
///
/// Source: turbulent branch Torricelli / Merritt, Hydraulic Control Systems (1967), ch. 3; laminar limit Sampson (1891), creeping
///         flow through a hole in a thin wall (both from memory). Density is that at atmospheric pressure (within 1 % at 25 MPa).
/// Valid:  liquid, no cavitation in the hole, edge sharp. Leaves out: reattachment in long holes.
struct Hole {
  double diameter = 1e-3;               // d [m]
  double discharge_coefficient = 0.62;  // Cd [-], sharp edge; source: engineering tables (0.60..0.65)

  static constexpr std::string_view kind = "hole";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    return std::array{
        Parameter<Hole>{"diameter", Quantity::length, &Hole::diameter, 0, 0.1, "mm", "hole diameter"},
        Parameter<Hole>{"discharge_coefficient", Quantity::ratio, &Hole::discharge_coefficient, 0.05, 1, "", "discharge coefficient", 0.62}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    return flow_through(S(port.from - port.to), oil);
  }

  /// The same for a hole of which a share of the area is open: that of the diameter d*sqrt(open). @param open 0..1
  template <class S>
  S flow_through_part(const S& dp, const S& open, const Oil& oil) const {
    using std::abs;
    using std::sqrt;
    if (open <= 0.0) return S(0.0 * dp);
    const double cd_area = discharge_coefficient * 0.25 * std::numbers::pi * diameter * diameter;
    const double laminar = 24.0 * oil.viscosity / (diameter * diameter * diameter), turbulent = oil.density / (2.0 * cd_area * cd_area);
    // R_l grows with open^-1.5 and R_t with open^-2: multiplied out, so that nothing divides by an opening of 0.
    const S root = sqrt(laminar * laminar + 4.0 * turbulent * abs(dp) * open);
    return 2.0 * dp * (open * sqrt(open)) / (laminar + root);
  }

  template <class S>
  S flow_through(const S& dp, const Oil& oil) const {
    if (diameter <= 0) return S(0.0 * dp);
    const double area = 0.25 * std::numbers::pi * diameter * diameter;
    const double cd_area = discharge_coefficient * area;
    return series_flow(dp, 24.0 * oil.viscosity / (diameter * diameter * diameter), oil.density / (2.0 * cd_area * cd_area));
  }
};

}  // namespace railseep
