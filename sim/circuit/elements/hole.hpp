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
/// Source: turbulent branch Torricelli / Merritt, Hydraulic Control Systems (1967), ch. 3; laminar limit Sampson
/// (1891), creeping
///         flow through a hole in a thin wall (both from memory). Density is that at atmospheric pressure (within 1 %
///         at 25 MPa). Published laws differ: fitted_coefficient() passes 19 % more near Re 100 and twice as much far
///         below. oil.edge_law mixes the two.
/// Valid:  liquid, no cavitation in the hole, edge sharp. Leaves out: reattachment in long holes.
struct Hole {
  double diameter = 1e-3;               // d [m]
  double discharge_coefficient = 0.62;  // Cd [-], sharp edge; source: engineering tables (0.60..0.65)

  static constexpr std::string_view kind = "hole";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    return std::array{Parameter<Hole>{"diameter", Quantity::length, &Hole::diameter, 0, 0.1, "mm", "hole diameter"},
                      Parameter<Hole>{"discharge_coefficient", Quantity::ratio, &Hole::discharge_coefficient, 0.05, 1,
                                      "", "discharge coefficient", 0.62}};
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
    const double laminar = 24.0 * oil.viscosity / (diameter * diameter * diameter),
                 turbulent = oil.density / (2.0 * cd_area * cd_area);
    // R_l grows with open^-1.5 and R_t with open^-2: multiplied out, so that nothing divides by an opening of 0.
    const S root = sqrt(laminar * laminar + 4.0 * turbulent * abs(dp) * open);
    const S series = 2.0 * dp * (open * sqrt(open)) / (laminar + root);
    if (oil.edge_law == 0) return series;
    return S(series + oil.edge_law * (fitted_flow(dp, S(diameter * sqrt(open)), oil) - series));
  }

  template <class S>
  S flow_through(const S& dp, const Oil& oil) const {
    if (diameter <= 0) return S(0.0 * dp);
    const double area = 0.25 * std::numbers::pi * diameter * diameter;
    const double cd_area = discharge_coefficient * area;
    const S series = series_flow(dp, 24.0 * oil.viscosity / (diameter * diameter * diameter),
                                 oil.density / (2.0 * cd_area * cd_area));
    if (oil.edge_law == 0) return series;
    return S(series + oil.edge_law * (fitted_flow(dp, S(diameter), oil) - series));
  }

  /// Cd = 0.61*(1 + 1.07*exp(-0.126*sqrt(Re)) - 2.07*exp(-0.246*sqrt(Re))),   Re = 4*rho*Q/(pi*d*mu)
  ///
  /// Source: Wu, Burton & Schoenau, Int. J. Fluid Power 3(1) (2002), sharp-edged hole (coefficients from memory).
  /// @param root sqrt(Re)
  template <class S>
  static S fitted_coefficient(const S& root) {
    using std::exp;
    return S(0.61 * (1.0 + 1.07 * exp(S(-0.126 * root)) - 2.07 * exp(S(-0.246 * root))));
  }

  /// The flow whose Reynolds number gives the coefficient that gives the flow: Re = B*Cd(sqrt(Re)), B that of the ideal
  /// jet; by Newton. Near B = 0.5 and below, B*sqrt(|dp|) is rounded, so that the flow stays smooth through 0; nothing
  /// divides by d, which may be next to 0.
  template <class S>
  static S fitted_flow(const S& dp, const S& d, const Oil& oil) {
    using std::exp;
    using std::sqrt;
    const S b_of_root = d * (std::sqrt(2.0 * oil.density) / oil.viscosity);
    const S squared = b_of_root * b_of_root * dp;  // B^2, with the sign of dp
    const S ideal = sqrt(S(sqrt(S(squared * squared + 0.0625))));
    S x = S(0.228 * ideal / sqrt(S(1.0 + (0.228 * 0.228 / 0.65) * ideal)));
    for (int i = 0; i < 4; ++i) {
      const S slope = 0.61 * (-1.07 * 0.126 * exp(S(-0.126 * x)) + 2.07 * 0.246 * exp(S(-0.246 * x)));
      x = S(x - (x * x - ideal * fitted_coefficient(x)) / (2.0 * x - ideal * slope));
    }
    return S(fitted_coefficient(x) * (0.25 * std::numbers::pi) * d * d * std::sqrt(2.0 / oil.density) * dp * b_of_root /
             ideal);
  }
};

}  // namespace railseep
