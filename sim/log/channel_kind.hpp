#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "quantity/quantity.hpp"

namespace railseep {

enum class ChannelKind {
  rail_pressure,
  rail_pressure_volts,
  desired_pressure,
  regulator_duty,
  regulator_current,
  engine_speed,
  oil_temperature,
  coolant_temperature,
  battery_voltage,
  injector_pulse,
  driver_voltage,
  sync,
  base_oil_pressure,
  time,
  sample_index,
  ignored,
  unknown,
};

/// "rail_pressure": the word in options and files.
std::string_view kind_name(ChannelKind kind);

/// @throws Error naming the nearest kind
ChannelKind parse_channel_kind(std::string_view name);

Quantity kind_quantity(ChannelKind kind);

/// Can a channel under this header have such a unit? A pressure may be its sensor's volts, a duty the coil's current.
bool unit_fits(ChannelKind kind, Quantity quantity);

/// What a header says of its column.
struct HeaderReading {
  ChannelKind kind = ChannelKind::unknown;
  std::string unit;                       // as written in the header, or empty
  std::string strange_unit;               // stands where a unit would, and is none that is known: "ICP (counts)"
  bool may_be_fuel = false;               // "fuel rail pressure" may be oil, fuel or nothing on such an engine
  std::optional<ChannelKind> owner = {};  // of a column of times: the channel it belongs to, "ICP time"
};

HeaderReading read_header(std::string_view header);

/// The usual header of every channel, for messages: "icp" (rail pressure), ...
std::string known_headers();

}  // namespace railseep
