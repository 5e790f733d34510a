#pragma once

#include <array>
#include <numbers>

#include "circuit/elements/port.hpp"
#include "circuit/elements/resistance.hpp"

namespace railseep {

/// Screen or filter: many small openings side by side, some of them blocked by dirt.
///
///     dp = R_l*Q + R_t*Q|Q|,   R_l = 24*mu/(n*d^3),   R_t = rho/(2*(Cd*n*A)^2),   n = openings*(1 - blocked)
///
/// Small openings make the loss laminar, so a plugged screen is worst with cold oil.
/// Source: each opening a sharp hole (hole.hpp: Sampson, Torricelli); Cd 0.62. Leaves out: bypass valve, depth of a
/// filter's paper.
struct Screen {
  double mesh = 1.5e-4;    // d, one opening [m]
  double openings = 4000;  // [-]
  double blocked = 0;      // share of the openings [-]

  static constexpr std::string_view kind = "screen";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    return std::array{
        Parameter<Screen>{"mesh", Quantity::length, &Screen::mesh, 1e-6, 0.01, "mm", "width of one opening"},
        Parameter<Screen>{"openings", Quantity::ratio, &Screen::openings, 1, 1e7, "", "how many openings"},
        Parameter<Screen>{"blocked", Quantity::ratio, &Screen::blocked, 0, 0.99999, "%",
                          "share of the openings that is blocked", 0.0}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    return flow_through(S(port.from - port.to), oil);
  }

  template <class S>
  S flow_through(const S& dp, const Oil& oil) const {
    const double n = openings * (1.0 - blocked), cd_area = 0.62 * n * 0.25 * std::numbers::pi * mesh * mesh;
    return series_flow(dp, 24.0 * oil.viscosity / (n * mesh * mesh * mesh), oil.density / (2.0 * cd_area * cd_area));
  }
};

}  // namespace railseep
