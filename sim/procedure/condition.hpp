#pragma once

#include <string>

#include "drive/profile.hpp"

namespace railseep {

/// The state of the world a procedure is done in.
struct Condition {
  std::string oil;                   // grade; empty: the circuit's own
  double oil_temperature = 293.15;   // [K]
  Profile speed;                     // crankshaft [rad/s] over time [s]
  Profile battery{10.5};             // at the module while cranking [V]; default assumed
  double rest_air = 0.03;            // share of every volume that is free air when cranking begins [-]: what drained back; default assumed
};

}  // namespace railseep
