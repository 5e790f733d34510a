#pragma once

#include <array>
#include <numbers>

#include "circuit/elements/port.hpp"
#include "circuit/elements/resistance.hpp"

namespace railseep {

/// Drilling, tube or hose between two volumes.
///
///     dp = R_l*Q + R_t*Q|Q|,   R_l = 128*mu*L/(pi*d^4),   R_t = (K + f*L/d)*rho/(2*A^2)
///
/// Source: Hagen-Poiseuille; Darcy-Weisbach with minor losses K (sharp inlet 0.5 + exit 1). The turbulent part uses one
/// friction factor f;
///         adding it to the laminar part overstates the loss near Re 2000 by at most the smaller of the two. Leaves
///         out: inertia of the oil.
struct Passage {
  double diameter = 8e-3;         // d [m]
  double length = 0.1;            // L [m]
  double loss_coefficient = 1.5;  // K [-]
  double friction_factor = 0.03;  // f [-], Darcy, turbulent

  static constexpr std::string_view kind = "passage";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    return std::array{Parameter<Passage>{"diameter", Quantity::length, &Passage::diameter, 1e-5, 0.2, "mm", "bore"},
                      Parameter<Passage>{"length", Quantity::length, &Passage::length, 1e-4, 50, "mm", "length"},
                      Parameter<Passage>{"loss_coefficient", Quantity::ratio, &Passage::loss_coefficient, 0, 100, "",
                                         "sum of minor losses", 1.5},
                      Parameter<Passage>{"friction_factor", Quantity::ratio, &Passage::friction_factor, 0, 1, "",
                                         "Darcy friction factor, turbulent", 0.03}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    const double d2 = diameter * diameter, area = 0.25 * std::numbers::pi * d2;
    const S laminar = 128.0 * length / (std::numbers::pi * d2 * d2) * oil.film_viscosity(port.from, port.to);
    const double turbulent =
        (loss_coefficient + friction_factor * length / diameter) * oil.density / (2.0 * area * area);
    return series_flow(S(port.from - port.to), laminar, turbulent);
  }
};

}  // namespace railseep
