#pragma once

#include <algorithm>
#include <array>

#include "circuit/elements/hole.hpp"

namespace railseep {

/// Pressure regulator: the coil's current sets a pressure, what exceeds it is dumped. More duty, more current, more
/// closed, more pressure.
///
///     L*di/dt = V - R(T)*i,     R = R20*(1 + 0.00393*(T - 20 degC)),   T = coil_temperature + what it warmed     own
///     state 0: i [A] p_set   = p_min + k*ramp(i - i_dead) tau/(1 - b)*dz/dt = dead_zone(drive((dp - p_set)/override) -
///     z, h)                            own state 1: z, opening 0..1 open = stuck_open + (1 - stuck_open)*(1 -
///     stuck_closed)*z,     Q = Q_hole(d*sqrt(open)) + Q_hole(d_seat)
///
/// b is the blocked share of the screen that feeds the pilot stage: a plugged one makes the spool slow. h is friction:
/// the spool opens h*override above the set pressure and closes as much below it. At rest the spool stands open; behind
/// a free screen it shuts before the pump has built anything and is taken as shut from the start. Source: copper coil
/// IEC 60028; pilot-operated pressure control with override, Merritt (1967) ch. 9 (from memory); shape of friction and
///         screen assumed; the numbers of the shipped circuits are assumed (no flow curve or resistance was found).
struct Regulator {
  double resistance = 8;           // R20 [ohm]
  double inductance = 2e-2;        // L [H]
  double coil_temperature = 293;   // T [K]
  double dead_current = 0.12;      // i_dead [A]
  double pressure_slope = 2.1e7;   // k [Pa/A]
  double spring_pressure = 2e5;    // p_min [Pa]
  double override_pressure = 1e6;  // from cracking to fully open [Pa]
  double diameter = 2.5e-3;        // fully open [m]
  double lag = 4e-3;               // tau [s]
  double stuck_open = 0;           // share of the opening that cannot be shut [-]
  double stuck_closed = 0;         // share of the opening that cannot be opened [-]
  double seat_leak = 0;            // hole of equal leakage at the seat [m]
  double friction = 0;             // h, share of the full opening [-]
  double screen_blocked = 0;       // b [-]
  double wiring = 1;               // share of the voltage that reaches the coil: 0 with the plug off [-]
  double grounded = 0;             // share of the off-time in which the control wire is grounded as well [-]

  static constexpr std::string_view kind = "regulator";
  static constexpr int own_states = 2;
  static constexpr Dependence flow_by{true, {false, true}};
  static constexpr std::array<Dependence, 2> own_by{{{false, {true, false}}, {}}};
  static constexpr auto parameters() {
    using R = Regulator;
    return std::array{
        Parameter<R>{"resistance", Quantity::resistance, &R::resistance, 0.1, 1e6, "ohm", "coil resistance at 20 degC"},
        Parameter<R>{"inductance", Quantity::inductance, &R::inductance, 1e-5, 1, "mH", "coil inductance"},
        Parameter<R>{"coil_temperature", Quantity::temperature, &R::coil_temperature, 220, 500, "degC",
                     "coil temperature", 333.15},
        Parameter<R>{"dead_current", Quantity::current, &R::dead_current, 0, 10, "A", "no pressure below this current"},
        Parameter<R>{"pressure_slope", Quantity::pressure, &R::pressure_slope, 1e4, 1e9, "MPa",
                     "set pressure per ampere"},
        Parameter<R>{"spring_pressure", Quantity::pressure, &R::spring_pressure, 0, 1e7, "psi",
                     "set pressure without current"},
        Parameter<R>{"override_pressure", Quantity::pressure, &R::override_pressure, 1e4, 1e7, "psi",
                     "rise from cracking to fully open"},
        Parameter<R>{"diameter", Quantity::length, &R::diameter, 1e-5, 0.05, "mm", "dump bore when fully open"},
        Parameter<R>{"lag", Quantity::time, &R::lag, 1e-4, 1, "ms", "time constant of the spool"},
        Parameter<R>{"stuck_open", Quantity::ratio, &R::stuck_open, 0, 1, "%",
                     "share of the opening that cannot be shut", 0.0},
        Parameter<R>{"stuck_closed", Quantity::ratio, &R::stuck_closed, 0, 1, "%",
                     "share of the opening that cannot be opened", 0.0},
        Parameter<R>{"seat_leak", Quantity::length, &R::seat_leak, 0, 0.02, "mm", "hole that leaks as its seat does",
                     0.0},
        Parameter<R>{"friction", Quantity::ratio, &R::friction, 0, 0.5, "%",
                     "friction of the spool, share of its full opening", 0.0},
        Parameter<R>{"screen_blocked", Quantity::ratio, &R::screen_blocked, 0, 0.9999, "%",
                     "blocked share of its screen", 0.0},
        Parameter<R>{"wiring", Quantity::ratio, &R::wiring, 0, 1, "%", "share of the voltage that reaches the coil",
                     1.0},
        Parameter<R>{"grounded", Quantity::ratio, &R::grounded, 0, 1, "%", "share of the off-time the wire is grounded",
                     0.0}};
  }

  /// Coil resistance [ohm]. @param warming above coil_temperature [K]
  double hot_resistance(double warming = 0) const {
    return resistance * (1.0 + 0.00393 * (coil_temperature + warming - 293.15));
  }

  /// Mean voltage over the coil [V] with an ideal freewheel diode.
  double mean_voltage(double duty, double battery) const { return wiring * battery * (duty + grounded * (1.0 - duty)); }

  template <class S>
  S set_pressure(const S& current) const {
    return spring_pressure + pressure_slope * rounded_ramp(S(current - dead_current), 0.01);
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    const S dp = port.from - port.to;
    const S z = friction > 0 ? smooth_step(port.own[1]) : port.own[1];
    const S open = stuck_open + (1.0 - stuck_open) * (1.0 - stuck_closed) * z;
    return Hole{diameter}.flow_through_part(dp, open, oil) + Hole{seat_leak}.flow_through(dp, oil);
  }

  template <class S>
  std::array<S, 2> own_rates(const Ports<S>& port, const Signals<S>& signal, const Oil&) const {
    const S& current = port.own[0];
    const S driven = sticking_drive(S((port.from - port.to - set_pressure(current)) / override_pressure), friction);
    return {S((signal.coil_voltage - hot_resistance(signal.coil_warming) * current) / inductance),
            S(dead_zone(S(driven - port.own[1]), friction) * ((1.0 - screen_blocked) / lag))};
  }

  std::array<double, 2> own_start() const { return {0, screen_blocked > 0 ? 1.0 : 0.0}; }
  static constexpr std::array<double, 2> own_scale{1.0, 1.0};
};

}  // namespace railseep
