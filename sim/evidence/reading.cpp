#include "evidence/reading.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "procedure/isolate.hpp"
#include "quantity/error.hpp"
#include "quantity/normal.hpp"

namespace railseep {

namespace {

using enum ChannelKind;

constexpr double blunder_share =
    0.03;  // share of readings that are simply wrong: wrong unit, wrong line, desired for actual
constexpr double commanded_share = 0.2;  // of a pressure that the regulator makes of a commanded duty: its slope, its
                                         // coil and the battery (circuit files: 12 %, 8 %, some 10 %), assumed
constexpr double doubted = 3;            // times the model's error when nobody knows how warm the oil was
constexpr double rest_volts_doubt =
    0.05;  // of a good sensor: 0.15 to 0.35 V at rest in the trade's forms, taken as two standard deviations [V]

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

double at(const Trace& trace, std::string_view channel, double time) {
  std::size_t i = 0;
  while (i + 1 < trace.time.size() && trace.time[i] < time) ++i;
  return trace.find(channel).value[i];
}

double value_of(const Reading& reading, const Trace& trace, std::string_view channel) {
  switch (reading.part) {
    case Reading::Part::peak:
      return peak(trace, channel);
    case Reading::Part::later:
      return at(trace, channel, reading.situation.cranked + reading.later);
    default:
      return plateau(trace, channel);
  }
}

double at_rest(const Reading& reading, const Circuit& circuit) {
  const double temperature = reading.situation.oil_temperature;
  if (reading.kind == rail_pressure) return sensor_of(circuit).shown_pressure(0, temperature);
  if (reading.kind == rail_pressure_volts) return sensor_of(circuit).volts(0, temperature);
  return circuit.starter.voltage;
}

/// Of the model alone, one standard deviation, SI.
double model_deviation(ChannelKind kind, const Situation& situation, double computed, const Circuit& circuit) {
  const Situation::Done done = situation.done;
  if (done == Situation::Done::key_on && kind == rail_pressure) return rest_volts_doubt * sensor_of(circuit).span;
  if (done == Situation::Done::key_on && kind == rail_pressure_volts) return rest_volts_doubt;
  const ReadingErrors& error = *reading_errors(kind);
  const bool commanded = kind == rail_pressure && situation.block == both_rails;
  return std::hypot(error.offset, (commanded ? commanded_share : error.share) * computed);
}

}  // namespace

double reading_deviation(const Reading& reading, double computed, const Circuit& circuit) {
  const bool of_oil = reading.situation.done != Situation::Done::key_on;  // at rest the oil's warmth says nothing
  const double model = model_deviation(reading.kind, reading.situation, computed, circuit) *
                       (of_oil && !reading.temperature_known ? doubted : 1);
  return std::hypot(model, reading.tolerance.value_or(reading_errors(reading.kind)->tolerance));
}

double base_oil(const Circuit& circuit, const Trace& trace) {
  const int lube = circuit.only<LubePump>(), pump = circuit.only<Pump>();
  if (lube < 0 && pump < 0)
    throw Error(circuit.name, "it has neither a lube pump nor a high-pressure pump", "leave out the base oil pressure");
  const Node& node = circuit.nodes[lube >= 0 ? circuit.links[lube].to : circuit.links[pump].from];
  return node.tank ? node.pressure * (1 - node.free_air) : plateau(trace, node.name + " pressure");
}

const ReadingErrors* reading_errors(ChannelKind kind) {
  for (const ReadingErrors& row : errors)
    if (row.kind == kind) return &row;
  return nullptr;
}

bool is_computed(ChannelKind kind, Situation::Done done) {
  if (done != Situation::Done::key_on) return reading_errors(kind) != nullptr;
  return kind == rail_pressure || kind == rail_pressure_volts || kind == battery_voltage;
}

double predicted(const Reading& reading, Procedures& procedures) {
  if (!is_computed(reading.kind, reading.situation.done))
    throw Error(reading.name, "the model does not compute " + std::string(kind_name(reading.kind)) + " then",
                "keep it as a finding in words");
  const Circuit& circuit = procedures.circuit();
  if (reading.situation.done == Situation::Done::key_on) return at_rest(reading, circuit);
  const Trace& trace = procedures.trace(reading.situation);
  if (reading.kind == base_oil_pressure) return base_oil(circuit, trace);
  if (reading.kind == rail_pressure_volts)
    return sensor_of(circuit).volts(value_of(reading, trace, signal::rail_pressure), reading.situation.oil_temperature);
  return value_of(reading, trace, channel_row(reading.kind).signal);
}

double log_likelihood(const Reading& reading, Procedures& procedures) {
  const double computed = predicted(reading, procedures),
               sd = reading_deviation(reading, computed, procedures.circuit());
  const double anywhere = reading_errors(reading.kind)->range;  // where a wrong one falls
  if (!reading.at_least && !reading.at_most)
    return std::log((1 - blunder_share) * normal_density((reading.value - computed) / sd) / sd +
                    blunder_share / anywhere);
  const double above = reading.at_least ? normal_below((*reading.at_least - computed) / sd) : 0;
  const double below = reading.at_most ? normal_below((*reading.at_most - computed) / sd) : 1;
  const double width = reading.at_most.value_or(anywhere) - reading.at_least.value_or(0);
  return std::log((1 - blunder_share) * (below - above) + blunder_share * std::clamp(width / anywhere, 1e-3, 1.0));
}

}  // namespace railseep
