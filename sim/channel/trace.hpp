#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "quantity/quantity.hpp"

namespace railseep {

/// One computed signal. Pressures are gauge; a flow is what the link passes from its first node to its second.
struct TraceChannel {
  std::string name;
  Quantity quantity;
  std::vector<double> value;  // SI, one for each time of the trace
};

/// Signals over time, as a procedure computed them.
struct Trace {
  std::vector<double> time;  // [s]
  std::vector<TraceChannel> channels;

  const TraceChannel& find(std::string_view name) const;  // @throws Error with the nearest known name
  bool has(std::string_view name) const;
};

/// Names of a trace's channels. Every crank has the first; others are "NODE pressure" and "LINK flow".
namespace signal {

inline constexpr std::string_view rail_pressure = "rail pressure";    // as it is, at the sensor's node
inline constexpr std::string_view shown_pressure = "shown pressure";  // as the sensor shows it
inline constexpr std::string_view wanted_pressure = "wanted pressure";
inline constexpr std::string_view regulator_duty = "regulator duty";
inline constexpr std::string_view coil_current = "coil current";
inline constexpr std::string_view engine_speed = "engine speed";
inline constexpr std::string_view battery_voltage = "battery voltage";

// And of the procedures in which the engine may run.
inline constexpr std::string_view sensor_volts = "sensor volts";
inline constexpr std::string_view oil_temperature = "oil temperature";
inline constexpr std::string_view coil_temperature = "coil temperature";
inline constexpr std::string_view injector_pulse = "injector pulse";

}  // namespace signal

}  // namespace railseep
