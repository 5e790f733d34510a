#pragma once

#include <array>
#include <numbers>

#include "circuit/elements/gap.hpp"
#include "circuit/elements/hole.hpp"

namespace railseep {

/// Injectors of one rail: oil creeps past their spools all the time, and each shot takes some more.
///
///     Q = count*[ Q_gap(w, h, L, e) + (omega/4pi)*V_shot ]         omega/4pi: one shot each two turns of a four-stroke
///     engine V_shot = share*( V_valve + least(Q_hole(d_port)*pulse, V_stroke) )
///
/// The shot is taken as a steady mean flow. V_valve fills the switched passages each time, the port meters the rest,
/// the piston's stroke ends it. least() has a rounded corner (resistance.hpp). Source: 0.15..0.3 cm3 at idle and
/// 0.8..1.2 at full load follow from 7 times the fuel (trade, derived); the port is sized to that. Film:
///         gap.hpp. Leaves out: single pulses, refill of the stroke, the switched spool's extra leakage.
struct Injector {
  double width = 2.5e-2;          // w, around the spool [m]
  double clearance = 2e-6;        // h [m]
  double length = 1e-2;           // L [m]
  double eccentricity = 0;        // e [-]
  double count = 1;               // [-]
  double port = 1.7e-3;           // d_port [m]
  double valve_volume = 5e-8;     // V_valve [m3]
  double stroke_volume = 1.2e-6;  // V_stroke [m3]
  double shot_share = 1;          // share of a healthy shot that is taken [-]: 0 when the driver is dead

  static constexpr std::string_view kind = "injector";
  static constexpr int own_states = 0;
  static constexpr auto parameters() {
    using I = Injector;
    return std::array{
        Parameter<I>{"width", Quantity::length, &I::width, 1e-6, 10, "mm", "length around the spool, pi*D"},
        Parameter<I>{"clearance", Quantity::length, &I::clearance, 0, 1e-3, "um", "clearance of the spool"},
        Parameter<I>{"length", Quantity::length, &I::length, 1e-6, 1, "mm", "length along the flow"},
        Parameter<I>{"eccentricity", Quantity::ratio, &I::eccentricity, 0, 1, "", "eccentricity ratio", 0.0},
        Parameter<I>{"count", Quantity::ratio, &I::count, 1, 100, "", "how many injectors", 1.0},
        Parameter<I>{"port", Quantity::length, &I::port, 1e-5, 0.02, "mm", "metering port, as a sharp hole", 1.7e-3},
        Parameter<I>{"valve_volume", Quantity::volume, &I::valve_volume, 0, 1e-5, "mm3", "fills at each shot", 5e-8},
        Parameter<I>{"stroke_volume", Quantity::volume, &I::stroke_volume, 1e-9, 1e-4, "cm3", "most that a shot takes",
                     1.2e-6},
        Parameter<I>{"shot_share", Quantity::ratio, &I::shot_share, 0, 10, "%", "share of a healthy shot that is taken",
                     1.0}};
  }

  Gap film() const { return {width, clearance, length, eccentricity, count}; }  // of all spools

  template <class S>
  S volume_flow(const Ports<S>& port_, const Signals<S>& signal, const Oil& oil) const {
    const S leak = film().volume_flow(port_, signal, oil);
    if (signal.pulse <= 0 || shot_share <= 0) return leak;
    return leak +
           count * (1.0 / (4.0 * std::numbers::pi)) * signal.speed * shot(S(port_.from - port_.to), signal.pulse, oil);
  }

  /// Oil of one shot [m3]; nothing without pressure.
  template <class S>
  S shot(const S& dp, double pulse, const Oil& oil) const {
    const S metered = Hole{port}.flow_through(dp, oil) * pulse;
    // The switched passages fill with pressure, and are full from 1 MPa on.
    const S fill = valve_volume * smooth_step(S(dp / 1e6));
    return shot_share * (fill + rounded_least(metered, S(0.0 * dp + stroke_volume)));
  }
};

}  // namespace railseep
