#pragma once

#include <array>
#include <optional>
#include <string_view>

#include "fluid/oil.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

/// What an element sees: the absolute pressures [Pa] on its two sides and the states it brought itself.
/// S is double, or a dual number when the exact Jacobian is wanted; every element is written once for both.
template <class S>
struct Ports {
  S from, to;
  std::array<S, 2> own;
  S from_air = S(0.0);  // free air among what stands at the from side, by volume at its pressure [-]; only a pump asks
};

/// What reaches an element from outside the oil. S is the type of what changes within a step; the rest holds until it
/// is set again.
template <class S>
struct Signals {
  S speed;                  // crankshaft [rad/s]
  S coil_voltage;           // mean voltage over the regulator coil [V]
  S crank_angle = S(0);     // crankshaft, the integral of speed [rad]
  bool ripple = false;      // pump delivers piston by piston, at crank_angle
  double pulse = 0;         // injectors are held open so long each engine cycle [s]; 0: they do not fire
  double coil_warming = 0;  // regulator coil above its own coil_temperature [K]
};

/// What a flow or an own rate of an element depends on, beside the signals: of this the Jacobian's pattern is made. An
/// element that depends on less than all it sees says so in `flow_by` and `own_by`.
struct Dependence {
  bool pressures = true;
  std::array<bool, 2> own{true, true};
};

/// One number of an element as files and faults name it: key, quantity, range, the unit it is written in, and what it
/// means.
template <class E>
struct Parameter {
  std::string_view key;
  Quantity quantity;
  double E::*member;
  double least, most;
  std::string_view unit;
  std::string_view meaning;
  std::optional<double> fallback = std::nullopt;  // used when a file leaves it out; without one the key is required
};

}  // namespace railseep
