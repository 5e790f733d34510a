#pragma once

#include <array>

#include "circuit/elements/port.hpp"
#include "circuit/elements/resistance.hpp"

namespace railseep {

/// Narrow clearance that oil creeps through: a worn seal, a spool in its bore, an injector's static leakage. count of
/// them in parallel.
///
///     dp = R_l*Q + R_t*Q|Q|,   R_l = 12*mu_film*L/(w*h^3*(1 + 1.5*e^2)),   R_t = (0.5 + 1)*rho/(2*(w*h)^2)
///
/// w is the length around (pi*D for an annulus), h the clearance, L the length along the flow, e the eccentricity ratio
/// of an annulus (0 for a slit); mu_film averages 1/mu along the pressure drop. Source: parallel plates and eccentric
/// annulus, lubrication theory, Merritt (1967) ch. 2 (from memory); 0.5 and 1 are the sharp inlet and
///         the exit loss (Crane TP-410, from memory). Valid: h << w, film laminar (Re < ~1000). Leaves out: heating of
///         the film.
struct Gap {
  double width = 1e-2;      // w [m]
  double clearance = 1e-5;  // h [m]
  double length = 1e-3;     // L [m]
  double eccentricity = 0;  // e [-]
  double count = 1;         // [-]

  static constexpr std::string_view kind = "gap";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    return std::array{
        Parameter<Gap>{"width", Quantity::length, &Gap::width, 1e-6, 10, "mm",
                       "length around the gap, pi*D for an annulus"},
        Parameter<Gap>{"clearance", Quantity::length, &Gap::clearance, 0, 1e-3, "um", "clearance"},
        Parameter<Gap>{"length", Quantity::length, &Gap::length, 1e-6, 1, "mm", "length along the flow"},
        Parameter<Gap>{"eccentricity", Quantity::ratio, &Gap::eccentricity, 0, 1, "", "eccentricity ratio", 0.0},
        Parameter<Gap>{"count", Quantity::ratio, &Gap::count, 0, 1000, "", "how many in parallel", 1.0}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    const S dp = port.from - port.to;
    if (clearance <= 0 || count <= 0) return S(0.0 * dp);
    const double film =
        12.0 * length / (width * clearance * clearance * clearance * (1.0 + 1.5 * eccentricity * eccentricity));
    const double open = width * clearance;
    return count *
           series_flow(dp, S(film * oil.film_viscosity(port.from, port.to)), 1.5 * oil.density / (2.0 * open * open));
  }
};

}  // namespace railseep
