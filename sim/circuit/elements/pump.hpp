#pragma once

#include <array>
#include <cmath>
#include <numbers>

#include "circuit/elements/port.hpp"
#include "circuit/elements/resistance.hpp"
#include "circuit/elements/screen.hpp"

namespace railseep {

/// High-pressure oil pump: a fixed displacement, turned by the engine, that slips back through its clearances.
///
///     Q = least(D*r*omega*(1 - lost)*filled*ripple(r*angle), Q_inlet(p_from - p_least)) - wear*Cs*D*dp/mu_film      D
///     [m3/rad], omega [rad/s] filled = max(0, 1 + c - c/(1 - a + a*e)),   e = (p_from/p_to)^(1/n) ripple = (pi/N)*sum
///     max(0, sin(r*angle + 2*pi*k/N)),  k = 0 .. N-1      mean 1; only when the signals ask for it
///
/// r is the drive ratio, Q_inlet what the inlet screen lets in until the inlet is at p_least, where oil boils out its
/// air; least() has a rounded corner. inlet_openings = 0: no screen, the inlet never starves. filled: in the dead
/// volume c (a share of the stroke) stays a mixture at p_to, which expands before anything is drawn; a is the share of
/// free air by volume that is drawn. Oil alone does not expand (filled = 1). Air alone reaches no more than p_from*(1 +
/// 1/c)^n: the check valves stay shut, and a pump that is not primed makes no pressure. Source: Wilson, ASME paper
/// 48-SA-14 (1948) (title read, form from memory): laminar slip, so a worn pump holds a pressure that is
///         proportional to speed and viscosity, p = r*omega*mu/(wear*Cs). Ripple: sinusoidal pistons delivering over
///         half a turn, note "Hydraulic piston: ripple pumps"; Ivantysyn & Ivantysynova (from memory). p_least 30 kPa
///         assumed. filled for air alone is the volumetric efficiency of a reciprocating compressor, 1 + c -
///         c*(p2/p1)^(1/n), textbook (from memory); with oil among it by the same balance, the mixture being the same
///         all over. Leaves out: swash angle; air that gathers in the chamber.
struct Pump {
  double displacement = 7e-6 / 6.283185307179586;  // D [m3/rad]
  double drive_ratio = 1;                          // r [-]
  double slip = 5e-9;                              // Cs [-], Wilson's slip coefficient
  double wear = 1;                                 // times the slip when new [-]
  double lost_capacity = 0;                        // share of the displacement that delivers nothing [-]
  double pistons = 7;                              // N [-]
  double dead_volume = 0;      // c, of a piston's stroke [-]; 0: presses any mixture to any pressure
  double inlet_mesh = 1.5e-4;  // one opening of the inlet screen [m]
  double inlet_openings = 0;   // [-]
  double inlet_blocked = 0;    // share of them [-]

  static constexpr double least_inlet_pressure = 3e4;  // p_least, absolute [Pa]

  static constexpr std::string_view kind = "pump";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    return std::array{
        Parameter<Pump>{"displacement", Quantity::displacement, &Pump::displacement, 1e-9, 1e-3, "cm3/rev",
                        "displacement"},
        Parameter<Pump>{"drive_ratio", Quantity::ratio, &Pump::drive_ratio, 0, 20, "",
                        "pump turns per crankshaft turn"},
        Parameter<Pump>{"slip", Quantity::ratio, &Pump::slip, 0, 1e-3, "", "Wilson slip coefficient"},
        Parameter<Pump>{"wear", Quantity::ratio, &Pump::wear, 0, 1e4, "x", "slip as a multiple of the slip when new",
                        1.0},
        Parameter<Pump>{"lost_capacity", Quantity::ratio, &Pump::lost_capacity, 0, 1, "%",
                        "share of the displacement lost", 0.0},
        Parameter<Pump>{"pistons", Quantity::ratio, &Pump::pistons, 1, 31, "", "pistons", 7.0},
        Parameter<Pump>{"dead_volume", Quantity::ratio, &Pump::dead_volume, 0, 5, "%",
                        "volume left in a cylinder at the end of its stroke, as a share of the stroke", 0.0},
        Parameter<Pump>{"inlet_mesh", Quantity::length, &Pump::inlet_mesh, 1e-6, 0.05, "mm",
                        "width of one opening of the inlet screen", 1.5e-4},
        Parameter<Pump>{"inlet_openings", Quantity::ratio, &Pump::inlet_openings, 0, 1e7, "",
                        "openings of the inlet screen; 0: never starves", 0.0},
        Parameter<Pump>{"inlet_blocked", Quantity::ratio, &Pump::inlet_blocked, 0, 0.99999, "%",
                        "share of the inlet screen that is blocked", 0.0}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>& signal, const Oil& oil) const {
    S delivered = displaced(signal);
    if (dead_volume > 0 && port.from_air > 0.0) delivered = delivered * filled(port, oil);
    if (signal.ripple) delivered = delivered * ripple(S(drive_ratio * signal.crank_angle));
    if (inlet_openings > 0) delivered = rounded_least(delivered, inlet(port.from, oil));
    return delivered - slipped(port, oil);
  }

  /// What a pump without clearances and with a full inlet would deliver, mean over a turn [m3/s].
  template <class S>
  S displaced(const Signals<S>& signal) const {
    return displacement * drive_ratio * (1.0 - lost_capacity) * signal.speed;
  }

  /// Share of the stroke that is drawn anew, with the corner at 0 rounded by a hundredth [-].
  template <class S>
  S filled(const Ports<S>& port, const Oil& oil) const {
    const S squeezed = oil.gas.expansion(port.to) / oil.gas.expansion(port.from);  // e
    return rounded_ramp(S(1.0 + dead_volume - dead_volume / (1.0 - port.from_air + port.from_air * squeezed)), 0.01);
  }

  /// Delivery at one angle over its mean [-]. @param angle of the pump's shaft [rad]
  template <class S>
  S ripple(const S& angle) const {
    using std::sin;
    const int n = static_cast<int>(pistons);
    S sum = 0.0 * angle;
    for (int k = 0; k < n; ++k) {
      const S lift = sin(S(angle + 2.0 * std::numbers::pi * k / n));
      if (lift > 0.0) sum += lift;
    }
    return S(std::numbers::pi / n * sum);
  }

  /// Most that the inlet screen lets in [m3/s].
  template <class S>
  S inlet(const S& from, const Oil& oil) const {
    return Screen{inlet_mesh, inlet_openings, inlet_blocked}.flow_through(
        rounded_ramp(S(from - least_inlet_pressure), 2e3), oil);
  }

  /// What creeps back through the clearances [m3/s].
  template <class S>
  S slipped(const Ports<S>& port, const Oil& oil) const {
    return wear * slip * displacement * (port.to - port.from) / oil.film_viscosity(port.from, port.to);
  }
};

}  // namespace railseep
