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
};

/// What reaches an element from outside the oil: the engine turns, the regulator's coil gets a mean voltage.
template <class S>
struct Signals {
  S speed;         // crankshaft [rad/s]
  S coil_voltage;  // mean voltage over the regulator coil [V]
};

/// One number of an element as files and faults name it: key, quantity, range, the unit it is written in, and what it means.
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
