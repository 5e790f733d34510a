#pragma once

#include <array>
#include <cmath>
#include <numbers>

#include "circuit/elements/port.hpp"

namespace railseep {

/// Tube whose oil has inertia, so that pressure waves run in it: a passage with its flow as a state.
///
///     (rho*L/A)*dQ/dt = dp - f*(L/d)*rho*v|v|/2 - K*rho*v|v|/2,     v = Q/A           own state 0: Q [m3/s]
///     f = 8*[ (8/Re)^12 + (a + b)^(-3/2) ]^(1/12),   a = {2.457*ln(1/[(7/Re)^0.9 + 0.27*e])}^16,   b = (37530/Re)^16
///
/// One line carries one lump of inertia; cut_line() cuts it into pieces with volumes between them, and the waves become
/// exact as the pieces shrink (closed line f = n*a/(2L), Joukowsky surge rho*a*v). Source: friction Churchill, Chem.
/// Eng. 84(24) (1977) 91, all regimes in one explicit form; lumped line Wylie & Streeter, Fluid Transients
///         in Systems (1993) (both from memory). Valid: Re of steady flow. Leaves out: frequency-dependent friction,
///         elastic wall.
struct Line {
  double diameter = 8e-3;       // d [m]
  double length = 0.1;          // L [m]
  double roughness = 0;         // e*d, height of the roughness [m]
  double loss_coefficient = 0;  // K [-]

  static constexpr std::string_view kind = "line";
  static constexpr int own_states = 1;
  static constexpr Dependence flow_by{false, {true, false}};
  static constexpr auto parameters() {
    return std::array{
        Parameter<Line>{"diameter", Quantity::length, &Line::diameter, 1e-4, 0.2, "mm", "bore"},
        Parameter<Line>{"length", Quantity::length, &Line::length, 1e-4, 50, "mm", "length"},
        Parameter<Line>{"roughness", Quantity::length, &Line::roughness, 0, 1e-3, "um", "height of the roughness", 0.0},
        Parameter<Line>{"loss_coefficient", Quantity::ratio, &Line::loss_coefficient, 0, 100, "", "sum of minor losses",
                        0.0}};
  }

  double area() const { return 0.25 * std::numbers::pi * diameter * diameter; }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil&) const {
    return port.own[0];
  }

  template <class S>
  std::array<S, 2> own_rates(const Ports<S>& port, const Signals<S>&, const Oil& oil) const {
    const S& q = port.own[0];
    return {S((port.from - port.to - loss(q, oil)) * (area() / (oil.density * length))), S(0.0 * q)};
  }

  /// Pressure lost by friction at a flow [Pa]: odd in q. Written as Hagen-Poiseuille times f*Re/64, which is 1 at low
  /// Re.
  template <class S>
  S loss(const S& q, const Oil& oil) const {
    using std::abs;
    const double d2 = diameter * diameter;
    const S reynolds = abs(q) * (oil.density * diameter / (area() * oil.viscosity));
    const S laminar = q * (128.0 * oil.viscosity * length / (std::numbers::pi * d2 * d2));
    return S(laminar * over_laminar(reynolds) + loss_coefficient * oil.density / (2.0 * area() * area()) * q * abs(q));
  }

  /// f*Re/64 of Churchill.
  template <class S>
  S over_laminar(const S& reynolds) const {
    using std::log;
    using std::pow;
    if (reynolds < 100.0) return S(0.0 * reynolds + 1.0);  // the turbulent term is below 1e-30 there
    const S a = pow(S(-2.457 * log(S(pow(S(7.0 / reynolds), 0.9) + 0.27 * roughness / diameter))), 16.0);
    const S b = pow(S(37530.0 / reynolds), 16.0);
    return S(pow(S(1.0 + pow(S(reynolds / 8.0), 12.0) * pow(S(a + b), -1.5)), 1.0 / 12.0));
  }

  std::array<double, 2> own_start() const { return {0, 0}; }
  static constexpr std::array<double, 2> own_scale{1e-6, 1.0};
};

}  // namespace railseep
