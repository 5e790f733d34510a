#include "match/reading.hpp"

#include <array>
#include <cmath>
#include <numbers>

#include "quantity/error.hpp"

namespace railseep {

namespace {

using enum ChannelKind;

constexpr double slip = 0.03;            // share of readings that are simply wrong: wrong unit, wrong line, desired for actual
constexpr double doubted = 3;            // times the model's error when nobody knows how warm the oil was
constexpr double rest_volts_doubt = 0.05;  // of a good sensor: 0.15 to 0.35 V at rest in the trade's forms, taken as two standard deviations [V]

constexpr std::array errors = {
    ReadingErrors{rail_pressure, 1e5, 5e4, 0.08, 3e7},
    ReadingErrors{rail_pressure_volts, 0.02, rest_volts_doubt, 0.08, 5},
    ReadingErrors{desired_pressure, 1e5, 2e5, 0.05, 3e7},
    ReadingErrors{regulator_duty, 0.02, 0.03, 0.1, 1},
    ReadingErrors{regulator_current, 0.03, 0.02, 0.12, 10},
    ReadingErrors{engine_speed, 0.5, 0.5, 0.08, 100},
    ReadingErrors{battery_voltage, 0.1, 0.3, 0.02, 30},
    ReadingErrors{base_oil_pressure, 1.5e4, 3e4, 0.25, 1e6},
};

const Sensor& sensor_of(const Circuit& circuit) {
  const int at = circuit.only<Sensor>();
  if (at < 0) throw Error(circuit.name, "the circuit has no pressure sensor", "add a link of kind \"sensor\"");
  return std::get<Sensor>(circuit.links[at].element);
}

/// Gauge on the lube gallery: the node that the lube pump fills; without one, the tank that the high-pressure pump draws from. Of a tank
/// that is mostly air hardly any pressure is left (assumed).
double base_oil(const Circuit& circuit, const Trace& trace) {
  const int lube = circuit.only<LubePump>(), pump = circuit.only<Pump>();
  if (lube < 0 && pump < 0) throw Error(circuit.name, "it has neither a lube pump nor a high-pressure pump", "leave out the base oil pressure");
  const Node& node = circuit.nodes[lube >= 0 ? circuit.links[lube].to : circuit.links[pump].from];
  return node.tank ? node.pressure * (1 - node.free_air) : plateau(trace, node.name + " pressure");
}

std::string_view channel_of(ChannelKind kind) {
  switch (kind) {
    case desired_pressure: return wanted_pressure;
    case regulator_duty: return railseep::regulator_duty;
    case regulator_current: return coil_current;
    case engine_speed: return railseep::engine_speed;
    case battery_voltage: return railseep::battery_voltage;
    default: return shown_pressure;
  }
}

double at(const Trace& trace, std::string_view channel, double time) {
  std::size_t i = 0;
  while (i + 1 < trace.time.size() && trace.time[i] < time) ++i;
  return trace.find(channel).value[i];
}

double value_of(const Reading& reading, const Trace& trace, std::string_view channel) {
  switch (reading.part) {
    case Reading::Part::peak: return peak(trace, channel);
    case Reading::Part::later: return at(trace, channel, reading.situation.cranked + reading.later);
    default: return plateau(trace, channel);
  }
}

double at_rest(const Reading& reading, const Circuit& circuit) {
  const double temperature = reading.situation.oil_temperature;
  if (reading.kind == rail_pressure) return sensor_of(circuit).shown_pressure(0, temperature);
  if (reading.kind == rail_pressure_volts) return sensor_of(circuit).volts(0, temperature);
  return circuit.starter.voltage;
}

/// One standard deviation of (read - computed), SI.
double deviation(const Reading& reading, double computed, const Circuit& circuit) {
  const ReadingErrors& error = *reading_errors(reading.kind);
  double model = std::hypot(error.offset, error.share * computed);
  if (reading.situation.done == Situation::Done::key_on && reading.kind == rail_pressure) model = rest_volts_doubt * sensor_of(circuit).span;
  if (reading.situation.done == Situation::Done::key_on && reading.kind == rail_pressure_volts) model = rest_volts_doubt;
  if (!reading.temperature_known) model *= doubted;
  return std::hypot(model, reading.tolerance.value_or(error.tolerance));
}

}  // namespace

const ReadingErrors* reading_errors(ChannelKind kind) {
  for (const ReadingErrors& row : errors)
    if (row.kind == kind) return &row;
  return nullptr;
}

bool is_computed(ChannelKind kind, Situation::Done done) {
  if (done != Situation::Done::key_on) return reading_errors(kind) != nullptr;
  return kind == ChannelKind::rail_pressure || kind == rail_pressure_volts || kind == ChannelKind::battery_voltage;
}

double predicted(const Reading& reading, Procedures& procedures) {
  if (!is_computed(reading.kind, reading.situation.done))
    throw Error(reading.name, "the model does not compute " + std::string(kind_name(reading.kind)) + " then", "keep it as a finding in words");
  const Circuit& circuit = procedures.circuit();
  if (reading.situation.done == Situation::Done::key_on) return at_rest(reading, circuit);
  const Trace& trace = procedures.trace(reading.situation);
  if (reading.kind == base_oil_pressure) return base_oil(circuit, trace);
  if (reading.kind != rail_pressure_volts) return value_of(reading, trace, channel_of(reading.kind));
  return sensor_of(circuit).volts(value_of(reading, trace, railseep::rail_pressure), reading.situation.oil_temperature);
}

double log_likelihood(const Reading& reading, Procedures& procedures) {
  const double computed = predicted(reading, procedures), sd = deviation(reading, computed, procedures.circuit());
  const double z = (reading.value - computed) / sd;
  const double normal = std::exp(-0.5 * z * z) / (sd * std::sqrt(2 * std::numbers::pi));
  return std::log((1 - slip) * normal + slip / reading_errors(reading.kind)->range);
}

}  // namespace railseep
