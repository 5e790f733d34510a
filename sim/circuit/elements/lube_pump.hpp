#pragma once

#include <algorithm>
#include <array>

#include "circuit/elements/port.hpp"
#include "circuit/elements/resistance.hpp"

namespace railseep {

/// Lube oil pump with its relief valve: lifts oil from the sump to the gallery that feeds the high-pressure pump.
///
///     Q = D*r*omega*(1 - b) - wear*Cs*D*dp/mu,    b = stuck + (1 - stuck)*s((dp - p_relief)/override)      b: share
///     sent back by the relief
///
/// Source: displacement pump with Wilson slip (pump.hpp); relief as a smooth step s (assumed shape). 40 to 80 psi
/// running and a relief at
///         65 psi are trade values. Leaves out: suction lift, pickup screen.
struct LubePump {
  double displacement = 1.6e-5 / 6.283185307179586;  // D [m3/rad]
  double drive_ratio = 1;                            // r [-]
  double slip = 5e-8;                                // Cs [-]
  double wear = 1;                                   // times the slip when new [-]
  double relief_pressure = 4.5e5;                    // p_relief [Pa]
  double override_pressure = 1e5;                    // from cracking to passing all [Pa]
  double relief_stuck = 0;                           // share of the flow that the relief never gives [-]

  static constexpr std::string_view kind = "lube pump";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    using P = LubePump;
    return std::array{
        Parameter<P>{"displacement", Quantity::displacement, &P::displacement, 1e-9, 1e-3, "cm3/rev", "displacement"},
        Parameter<P>{"drive_ratio", Quantity::ratio, &P::drive_ratio, 0, 20, "", "pump turns per crankshaft turn"},
        Parameter<P>{"slip", Quantity::ratio, &P::slip, 0, 1e-3, "", "Wilson slip coefficient"},
        Parameter<P>{"wear", Quantity::ratio, &P::wear, 0, 1e4, "x", "slip as a multiple of the slip when new", 1.0},
        Parameter<P>{"relief_pressure", Quantity::pressure, &P::relief_pressure, 1e4, 1e7, "psi",
                     "relief begins to open"},
        Parameter<P>{"override_pressure", Quantity::pressure, &P::override_pressure, 1e3, 1e7, "psi",
                     "rise until the relief passes all"},
        Parameter<P>{"relief_stuck", Quantity::ratio, &P::relief_stuck, 0, 1, "%",
                     "share of the flow lost through a relief stuck open", 0.0}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>& signal, const Oil& oil) const {
    const S dp = port.to - port.from;
    const S back = relief_stuck + (1.0 - relief_stuck) * smooth_step(S((dp - relief_pressure) / override_pressure));
    return displacement * drive_ratio * signal.speed * (1.0 - back) - wear * slip * displacement * dp / oil.viscosity;
  }
};

}  // namespace railseep
