#pragma once

#include <array>
#include <string>
#include <string_view>

#include "channel/trace.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

/// What a channel of a log, or a reading, is a measurement of.
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

/// All there is to know of a kind of channel; one row each. Only how far a reading of it may be off stands with the
/// evidence (evidence/reading.cpp), and how its header is worded with the words (log/header_words.cpp).
struct ChannelRow {
  enum class Role { measured, clock, neither };

  ChannelKind kind;
  std::string_view name;  // in options and files
  Role role;
  Quantity quantity;
  std::string_view header;  // an example, for messages; empty: it has none
  std::string_view signal;  // the same in a computed trace; empty: no procedure computes it as a signal
  double least, most;       // that the engine or its sensor can show, SI
  double wild;              // a lone sample is wild when it stands out by so much at least, SI
  bool decides;             // the answer of a match depends on it: where its unit is open it is asked for
};

/// What the engine and its sensors can show is assumed from common practice: ratiometric 5 V sensors, rails to 28 MPa,
/// diesel speeds.
inline constexpr std::array channel_rows = [] {
  using enum ChannelKind;
  using enum ChannelRow::Role;
  using Is = Quantity;
  return std::to_array<ChannelRow>({
      {rail_pressure, "rail_pressure", measured, Is::pressure, "icp", signal::shown_pressure, -1.02e5, 6e7, 2e5, true},
      {rail_pressure_volts, "rail_pressure_volts", measured, Is::voltage, "icp volts", "", 0, 5.5, 0.1, true},
      {desired_pressure, "desired_pressure", measured, Is::pressure, "icp desired", signal::wanted_pressure, 0, 6e7,
       2e5, true},
      {regulator_duty, "regulator_duty", measured, Is::ratio, "ipr duty", signal::regulator_duty, 0, 1, 0.05, true},
      {regulator_current, "regulator_current", measured, Is::current, "regulator current", signal::coil_current, 0, 10,
       0.1, false},
      {engine_speed, "engine_speed", measured, Is::speed, "rpm", signal::engine_speed, 0, 840, 5, true},
      {oil_temperature, "oil_temperature", measured, Is::temperature, "oil temp", "", 213, 438, 10, true},
      {coolant_temperature, "coolant_temperature", measured, Is::temperature, "coolant temp", "", 213, 423, 10, true},
      {battery_voltage, "battery_voltage", measured, Is::voltage, "battery", signal::battery_voltage, 0, 36, 1, true},
      {injector_pulse, "injector_pulse", measured, Is::time, "pulse width", signal::injector_pulse, 0, 0.05, 1e-3,
       false},
      {driver_voltage, "driver_voltage", measured, Is::voltage, "main power", "", 0, 200, 5, false},
      {sync, "sync", measured, Is::ratio, "sync", "", 0, 1e9, 1e9, false},
      {base_oil_pressure, "base_oil_pressure", measured, Is::pressure, "oil pressure", "", -1.02e5, 3e6, 1e5, false},
      {ChannelKind::time, "time", clock, Is::time, "time", "", 0, 0, 0, false},
      {sample_index, "sample_index", neither, Is::ratio, "", "", 0, 0, 0, false},
      {ignored, "ignored", neither, Is::ratio, "", "", 0, 0, 0, false},
      {unknown, "unknown", neither, Is::ratio, "", "", 0, 0, 0, false},
  });
}();

const ChannelRow& channel_row(ChannelKind kind);

/// An engine that a speed channel shows faster than this is being cranked, or runs: 48 rpm, a quarter of what a starter
/// makes, and more than a tachometer's noise at rest. Assumed [rad/s]
inline constexpr double turning_speed = 5;

/// "rail_pressure": the word in options and files.
std::string_view kind_name(ChannelKind kind);

/// @throws Error naming the nearest kind
ChannelKind parse_channel_kind(std::string_view name);

Quantity kind_quantity(ChannelKind kind);

/// Does such a column hold a measurement, and not a clock, a counter or nothing that is read?
bool is_measured(ChannelKind kind);

/// Does a unit belong to it: is it measured, or a clock?
bool has_unit(ChannelKind kind);

/// Can a channel have such a unit? A pressure may be its sensor's volts, a duty the coil's current.
bool unit_fits(ChannelKind kind, Quantity quantity);

/// The usual header of every channel, for messages: "icp" (rail pressure), ...
std::string known_headers();

}  // namespace railseep
