#include "match/unknown.hpp"

#include <algorithm>
#include <cmath>

#include "procedure/crank.hpp"

namespace railseep {

namespace {

using Where = Unknown::Where;

// Priors of what no circuit file tells. Assumed.
constexpr double sensor_zero_doubt = 5e4;  // [Pa]
constexpr double sensor_gain_doubt = 0.02; // of ln(gain) [-]
constexpr double rest_air_doubt = 0.7;     // of ln(share) [-]
constexpr double clock_doubt = 0.3;        // of one sample interval [-]

constexpr double grid = 0.02;  // between the kept pressures of a crank [s]; read between them by straight lines

void set_number(Circuit& circuit, int link, const std::string& key, double value) {
  Element& element = circuit.links[link].element;
  for (const ParameterView& p : parameters_of(element))
    if (p.key == key) set_parameter(element, key, std::clamp(value, p.least, p.most));
}

}  // namespace

double Unknown::value(double u) const {
  const double x = mean + spread * u;
  return std::clamp(logarithmic ? std::exp(x) : x, least, most);
}

double Unknown::coordinate(double si) const { return ((logarithmic ? std::log(si) : si) - mean) / spread; }

std::vector<Unknown> nuisances(const Circuit& circuit, const std::vector<CrankEvidence>& logs) {
  std::vector<Unknown> all;
  for (std::size_t i = 0; i < circuit.links.size(); ++i)
    for (const auto& [key, provenance] : circuit.links[i].provenance)
      if (provenance.spread > 0)
        for (const ParameterView& p : parameters_of(circuit.links[i].element))
          if (p.key == key)
            all.push_back({Where::circuit_number, circuit.links[i].name + ", " + key, std::log(p.value), provenance.spread, true,
                           std::max(p.least, p.value * std::exp(-4 * provenance.spread)), std::min(p.most, p.value * std::exp(4 * provenance.spread)), static_cast<int>(i), key});
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
    for (const auto& [key, provenance] : circuit.nodes[i].provenance)
      if (provenance.spread > 0)
        all.push_back({Where::node_volume, circuit.nodes[i].name + ", " + key, std::log(circuit.nodes[i].volume), provenance.spread, true,
                       circuit.nodes[i].volume * 0.1, circuit.nodes[i].volume * 10, static_cast<int>(i), key});
  const int sensor = circuit.only<Sensor>();
  all.push_back({Where::sensor_bias, "sensor, zero", 0, sensor_zero_doubt, false, -1e6, 1e6, sensor, "bias"});
  all.push_back({Where::sensor_gain, "sensor, gain", 0, sensor_gain_doubt, true, 0.5, 2, sensor, "gain_error"});
  for (std::size_t i = 0; i < logs.size(); ++i) {
    const CrankEvidence& log = logs[i];
    const int index = static_cast<int>(i);
    const double clock = std::max(clock_doubt * log.sample_interval, 0.02);
    all.push_back({Where::oil_temperature, log.name + ", oil temperature", log.condition.oil_temperature, log.temperature_doubt, false, 240, 420, index, ""});
    all.push_back({Where::rest_air, log.name + ", air in the passages", std::log(log.condition.rest_air), rest_air_doubt, true, 1e-5, 0.6, index, ""});
    all.push_back({Where::delay, log.name + ", clock", 0, clock, false, -4 * clock, 4 * clock, index, ""});
  }
  return all;
}

Unknown severity_unknown(const Suspect& suspect) {
  const PossibleFault& fault = suspect.places.front();
  const FaultKind& kind = *suspect.kind;
  constexpr double ninety = 1.645;  // standard deviations from the mean to either end of the middle 90 %
  if (kind.change == FaultKind::Change::adds) return {Where::severity, "severity", 0, fault.most / ninety, false, -4 * fault.most, 4 * fault.most, 0, ""};
  if (fault.least <= 0) return {Where::severity, "severity", 0.5 * fault.most, 0.5 * fault.most / ninety, false, 0, fault.most, 0, ""};
  const double low = std::log(fault.least), high = std::log(fault.most);
  const double most = kind.quantity == Quantity::ratio && kind.change == FaultKind::Change::sets ? 1.0 : fault.most * 3;
  return {Where::severity, "severity", 0.5 * (low + high), 0.5 * (high - low) / ninety, true, fault.least / 10, most, 0, ""};
}

Assumed assume(const Circuit& circuit, const Candidate& candidate, const std::vector<Unknown>& unknowns, const std::vector<CrankEvidence>& logs,
               const Eigen::VectorXd& u) {
  Assumed assumed{circuit, {}, std::vector<double>(logs.size(), 0.0)};
  for (const CrankEvidence& log : logs) assumed.conditions.push_back(log.condition);
  std::vector<double> severities;
  for (std::size_t i = 0; i < unknowns.size(); ++i) {
    const Unknown& unknown = unknowns[i];
    const double value = unknown.value(u[static_cast<Eigen::Index>(i)]);
    switch (unknown.where) {
      case Where::circuit_number:
      case Where::sensor_bias:
      case Where::sensor_gain: set_number(assumed.circuit, unknown.index, unknown.key, value); break;
      case Where::node_volume: assumed.circuit.nodes[unknown.index].volume = value; break;
      case Where::oil_temperature: assumed.conditions[unknown.index].oil_temperature = value; break;
      case Where::rest_air: assumed.conditions[unknown.index].rest_air = value; break;
      case Where::delay: assumed.delays[unknown.index] = value; break;
      case Where::severity: severities.push_back(value); break;
    }
  }
  if (!candidate.healthy()) assumed.circuit = with_faults(assumed.circuit, candidate.faults(severities));
  return assumed;
}

bool Predictor::shapes_crank(const Unknown& unknown, std::size_t log) const {
  const bool read_only = logs_[log].duty.has_value();  // else the control module acts on what the sensor shows
  switch (unknown.where) {
    case Where::sensor_bias:
    case Where::sensor_gain: return !read_only;
    case Where::severity: return !read_only || candidate_.suspects[static_cast<std::size_t>(unknown.index)].kind->applies_to != Sensor::kind;
    case Where::oil_temperature:
    case Where::rest_air: return unknown.index == static_cast<int>(log);
    case Where::delay: return false;
    default: return true;
  }
}

const std::vector<double>& Predictor::raw(std::size_t log, const Key& key, const Assumed& assumed) {
  const auto known = kept_[log].find(key);
  if (known != kept_[log].end()) return known->second;
  CrankOptions options;
  options.pressure_only = true;
  options.duty = logs_[log].duty;
  options.tolerance = 1e-5;
  options.output_interval = grid;
  options.duration = logs_[log].duration + 4 * std::max(clock_doubt * logs_[log].sample_interval, 0.02) + grid;
  ++cranks_;
  return kept_[log][key] = crank(assumed.circuit, assumed.conditions[log], options).trace.find(shown_pressure).value;
}

std::vector<std::vector<double>> Predictor::pressures(const Eigen::VectorXd& u) {
  Assumed assumed = assume(circuit_, candidate_, unknowns_, logs_, u);
  const int link = circuit_.only<Sensor>();
  std::vector<std::vector<double>> all;
  for (std::size_t i = 0; i < logs_.size(); ++i) {
    Key key;
    for (std::size_t k = 0; k < unknowns_.size(); ++k)
      if (shapes_crank(unknowns_[k], i)) key.push_back(u[static_cast<Eigen::Index>(k)]);
    Sensor& sensor = std::get<Sensor>(assumed.circuit.links[link].element);
    const Sensor as_assumed = sensor;
    if (logs_[i].duty) sensor.bias = 0, sensor.gain_error = 1;
    const std::vector<double>& crank_pressure = raw(i, key, assumed);
    sensor = as_assumed;
    std::vector<double> shown;
    for (const double t : logs_[i].time) {
      const double at = std::max(0.0, t + assumed.delays[i]) / grid;
      const std::size_t before = std::min(static_cast<std::size_t>(at), crank_pressure.size() - 2);
      const double p = crank_pressure[before] + (at - static_cast<double>(before)) * (crank_pressure[before + 1] - crank_pressure[before]);
      shown.push_back(logs_[i].duty ? sensor.shown_pressure(p) : p);
    }
    all.push_back(std::move(shown));
  }
  return all;
}

}  // namespace railseep
