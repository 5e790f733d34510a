#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "drive/profile.hpp"

namespace railseep {

/// What a condition may be, for options and job files alike. Assumed: wider than anything a workshop meets, within what
/// the laws of the oil bear.
namespace condition_range {
inline constexpr QuantityRange oil_temperature{Quantity::temperature, 223.15, 453.15, "degC"};
// Of the crankshaft: from 10 rpm, for an engine that stands is not cranked, to 4000 rpm, a reading at high idle.
inline constexpr QuantityRange speed{Quantity::speed, 1.0472, 418.88, "rpm"};
inline constexpr QuantityRange battery{Quantity::voltage, 0, 36, "V"};
inline constexpr QuantityRange rest_air{Quantity::ratio, 0, 0.9, "%"};
inline constexpr QuantityRange rest_time{Quantity::time, 0, 3.6e7, "h"};
}  // namespace condition_range

/// The state of the world a procedure is done in.
struct Condition {
  std::string oil;                  // grade; empty: the circuit's own
  double oil_temperature = 293.15;  // [K]
  std::optional<Oil>
      own_oil;    // where its properties are known by themselves: instead of what grade and temperature make of it
  Profile speed;  // crankshaft [rad/s] over time [s]; empty: what starter and battery make of it
  bool speed_measured = false;  // the speed is the crankshaft's own as it was measured: a slow starter is in it
                                // already, and does not slow it once more
  Profile battery{10.5};        // at the module while cranking [V], used when the speed is given; default assumed
  double battery_charge =
      1;  // rested battery voltage as a share of the healthy one, used when the speed is not given [-]
  double rest_air =
      0.03;  // share of every volume that is free air after a short stop [-]: what drained back; default assumed
  double rest_time = 0;  // how long the engine stood before that [s]: the circuit says what drains through where
  double air_left = 0;   // share of every volume left full of air by service [-]
  std::map<std::string, Profile> tank_pressure;  // of tanks whose pressure was measured or set from outside, by name:
                                                 // gauge [Pa] over time [s], in steps
  double air_in_oil = 0;  // free air carried by all oil that is drawn in, volume share [-]: aerated oil
};

/// The oil in this condition: its grade, with what is wrong with it (fuel in it, too thick or too thin).
Oil oil_of(const Circuit& circuit, const Condition& condition);
Oil oil_of(const Circuit& circuit, const std::string& grade, double temperature);

/// What stands in each node when the engine is turned again: share of the volume that is air, of a reservoir the share
/// that is missing [-].
///
///     air = rest_air + air_left + drain_share*(1 - exp(-t/tau)),    tau = drain_share*V/Q(rho*g*h)
///
/// Q is what the link that the node drains through lets back under the head of the oil above it.
/// Source: hydrostatics and the element's own law; an exponential because head and remaining oil fall together. Air
/// comes in where the oil
///         leaves (assumed). Oil drains at the temperature it is cranked at.
std::vector<double> standing_air(const Circuit& circuit, const Oil& oil, const Condition& condition);

/// What the fault "slow cranking" leaves of the condition's speed: all of a measured one [-].
inline double starter_share(const Circuit& circuit, const Condition& condition) {
  return condition.speed_measured ? 1 : circuit.engine.cranking_speed;
}

}  // namespace railseep
