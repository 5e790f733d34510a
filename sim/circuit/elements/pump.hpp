#pragma once

#include <array>

#include "circuit/elements/port.hpp"

namespace railseep {

/// High-pressure oil pump: a fixed displacement, turned by the engine, that slips back through its clearances.
///
///     Q = D*r*omega*(1 - lost) - wear*Cs*D*dp/mu_film            D [m3/rad], omega [rad/s] of the crankshaft, r the drive ratio
///
/// Source: Wilson, ASME paper 48-SA-14 (1948) (title read, form from memory): laminar slip, so a worn pump holds a pressure that is
///         proportional to speed and viscosity, p = r*omega*mu/(wear*Cs). Leaves out: piston ripple, starved inlet.
struct Pump {
  double displacement = 7e-6 / 6.283185307179586;  // D [m3/rad]
  double drive_ratio = 1;                          // r [-]
  double slip = 5e-9;                              // Cs [-], Wilson's slip coefficient
  double wear = 1;                                 // times the slip when new [-]
  double lost_capacity = 0;                        // share of the displacement that delivers nothing [-]

  static constexpr std::string_view kind = "pump";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    return std::array{
        Parameter<Pump>{"displacement", Quantity::displacement, &Pump::displacement, 1e-9, 1e-3, "cm3/rev", "displacement"},
        Parameter<Pump>{"drive_ratio", Quantity::ratio, &Pump::drive_ratio, 0.05, 20, "", "pump turns per crankshaft turn"},
        Parameter<Pump>{"slip", Quantity::ratio, &Pump::slip, 0, 1e-3, "", "Wilson slip coefficient"},
        Parameter<Pump>{"wear", Quantity::ratio, &Pump::wear, 0, 1e4, "x", "slip as a multiple of the slip when new", 1.0},
        Parameter<Pump>{"lost_capacity", Quantity::ratio, &Pump::lost_capacity, 0, 1, "%", "share of the displacement lost", 0.0}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>& signal, const Oil& oil) const {
    return displaced(signal) - slipped(port, oil);
  }

  /// What a pump without clearances would deliver [m3/s].
  template <class S>
  S displaced(const Signals<S>& signal) const {
    return displacement * drive_ratio * (1.0 - lost_capacity) * signal.speed;
  }

  /// What creeps back through the clearances [m3/s].
  template <class S>
  S slipped(const Ports<S>& port, const Oil& oil) const {
    return wear * slip * displacement * (port.to - port.from) / oil.film_viscosity(port.from, port.to);
  }
};

}  // namespace railseep
