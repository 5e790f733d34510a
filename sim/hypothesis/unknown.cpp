#include "hypothesis/unknown.hpp"

#include <algorithm>
#include <cmath>

#include "circuit/severity_range.hpp"
#include "procedure/isolate.hpp"

namespace railseep {

namespace {

using Where = Unknown::Where;

// Priors of what no circuit file tells. Assumed.
constexpr double sensor_zero_doubt = 5e4;      // [Pa]
constexpr double sensor_gain_doubt = 0.02;     // of ln(gain) [-]
constexpr double rest_air_doubt = 0.7;         // of ln(share) [-]
constexpr double clock_doubt = 0.3;            // of one sample interval [-]
constexpr double shortest_clock_doubt = 0.02;  // [s]
// SAE J300 (1999) gives a 40 grade 12.5 to 16.3 mm2/s at 100 degC: a band of +-13 %, taken for +-1.6 standard
// deviations.
constexpr double oil_thickness_doubt = 0.08;  // of ln(viscosity) [-]

void set_number(Circuit& circuit, int link, const std::string& key, double value) {
  Element& element = circuit.links[link].element;
  for (const ParameterView& p : parameters_of(element))
    if (p.key == key) set_parameter(element, key, std::clamp(value, p.least, p.most));
}

void add_circuit_numbers(const Circuit& circuit, std::vector<Unknown>& all) {
  for (std::size_t i = 0; i < circuit.links.size(); ++i)
    for (const auto& [key, provenance] : circuit.links[i].provenance)
      if (provenance.spread > 0)
        for (const ParameterView& p : parameters_of(circuit.links[i].element))
          if (p.key == key)
            all.push_back({Where::circuit_number, circuit.links[i].name + ", " + key, std::log(p.value),
                           provenance.spread, true, std::max(p.least, p.value * std::exp(-4 * provenance.spread)),
                           std::min(p.most, p.value * std::exp(4 * provenance.spread)), static_cast<int>(i), key});
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
    for (const auto& [key, provenance] : circuit.nodes[i].provenance)
      if (provenance.spread > 0)
        all.push_back({Where::node_volume, circuit.nodes[i].name + ", " + key, std::log(circuit.nodes[i].volume),
                       provenance.spread, true, circuit.nodes[i].volume * 0.1, circuit.nodes[i].volume * 10,
                       static_cast<int>(i), key});
}

/// The severity that makes the law in use pass what another law may pass.
double under_another_law(const FaultKind& kind, double severity, double u, const Circuit& circuit,
                         const Condition& condition, double pressure) {
  if (!feels_hole_law(kind) || u == 0) return severity;
  if (kind.law == FaultKind::Law::hole)
    return severity * std::exp(0.5 * u * hole_law_doubt(severity, pressure, oil_of(circuit, condition)));
  // So much of the full opening: its flow goes with the share, not with the square of a diameter.
  const double fully = std::get<Regulator>(circuit.links[circuit.only<Regulator>()].element).diameter;
  return std::min(
      1.0, severity * std::exp(u * hole_law_doubt(fully * std::sqrt(severity), pressure, oil_of(circuit, condition))));
}

}  // namespace

double Unknown::value(double u) const {
  const double x = mean + spread * u;
  return std::clamp(logarithmic ? std::exp(x) : x, least, most);
}

double Unknown::coordinate(double si) const { return ((logarithmic ? std::log(si) : si) - mean) / spread; }

bool feels_hole_law(const FaultKind& kind) {
  return kind.law == FaultKind::Law::hole || kind.law == FaultKind::Law::opening;
}

double hole_law_doubt(double diameter, double pressure, const Oil& oil) {
  const double speed = 0.62 * std::sqrt(2 * pressure / oil.density);
  return 0.15 / (1 + speed * diameter * oil.density / oil.viscosity / 500);
}

std::vector<Unknown> nuisances(const Circuit& circuit, const std::vector<CrankEvidence>& logs) {
  std::vector<Unknown> all;
  add_circuit_numbers(circuit, all);
  all.push_back({Where::oil_thickness, "oil, viscosity for its grade", std::log(circuit.engine.oil_thickness),
                 oil_thickness_doubt, true, 0.5, 2, -1, ""});
  const int sensor = circuit.only<Sensor>();
  all.push_back({Where::sensor_bias, "sensor, zero", 0, sensor_zero_doubt, false, -1e6, 1e6, sensor, "bias"});
  all.push_back({Where::sensor_gain, "sensor, gain", 0, sensor_gain_doubt, true, 0.5, 2, sensor, "gain_error"});
  for (std::size_t i = 0; i < logs.size(); ++i) {
    const CrankEvidence& log = logs[i];
    const int index = static_cast<int>(i);
    const double clock = std::max(clock_doubt * log.sample_interval, shortest_clock_doubt);
    all.push_back({Where::oil_temperature, log.name + ", oil temperature", log.condition.oil_temperature,
                   log.temperature_doubt, false, 240, 420, index, ""});
    all.push_back({Where::rest_air, log.name + ", air in the passages", std::log(log.condition.rest_air),
                   rest_air_doubt, true, 1e-5, 0.6, index, ""});
    all.push_back({Where::hole_law, log.name + ", hole law", 0, 1, false, -4, 4, index, ""});
    all.push_back({Where::delay, log.name + ", clock", 0, clock, false, -4 * clock, 4 * clock, index, ""});
  }
  return all;
}

Unknown severity_unknown(const Suspect& suspect) {
  const PossibleFault& fault = suspect.places.front();
  const FaultKind& kind = *suspect.kind;
  constexpr double ninety = 1.645;  // standard deviations from the mean to either end of the middle 90 %
  if (kind.change == FaultKind::Change::adds)
    return {Where::severity, "severity", 0, fault.most / ninety, false, -4 * fault.most, 4 * fault.most, 0, ""};
  if (fault.least <= 0)
    return {Where::severity, "severity", 0.5 * fault.most, 0.5 * fault.most / ninety, false, 0, fault.most, 0, ""};
  constexpr double within = 1e-9;  // of the range: ln and exp round
  const SeverityRange range = severity_range(kind);
  const double low = std::log(fault.least), high = std::log(fault.most);
  const bool share = kind.quantity == Quantity::ratio && kind.change == FaultKind::Change::sets;
  return {Where::severity,
          "severity",
          0.5 * (low + high),
          0.5 * (high - low) / ninety,
          true,
          std::max(fault.least / 10, range.least * (1 + within)),
          std::min(share ? std::max(fault.most, 1 - 1e-4) : fault.most * 3, range.most * (1 - within)),
          0,
          ""};
}

std::vector<Unknown> unknowns_of(const Circuit& circuit, const Candidate& candidate,
                                 const std::vector<CrankEvidence>& logs) {
  std::vector<Unknown> all;
  for (std::size_t i = 0; i < candidate.suspects.size(); ++i) {
    all.push_back(severity_unknown(candidate.suspects[i]));
    all.back().index = static_cast<int>(i);
  }
  for (Unknown& nuisance : nuisances(circuit, logs)) all.push_back(std::move(nuisance));
  return all;
}

Assumed assume(const Circuit& circuit, const Candidate& candidate, const std::vector<Unknown>& unknowns,
               const std::vector<CrankEvidence>& logs, std::size_t log, const Eigen::VectorXd& u) {
  Assumed assumed{logs[log].block.empty() ? circuit : blocked(circuit, logs[log].block), logs[log].condition, 0};
  std::vector<double> severities;
  double law = 0;
  for (std::size_t i = 0; i < unknowns.size(); ++i) {
    const Unknown& unknown = unknowns[i];
    if (unknown.of_log() && unknown.index != static_cast<int>(log)) continue;
    const double value = unknown.value(u[static_cast<Eigen::Index>(i)]);
    switch (unknown.where) {
      case Where::circuit_number:
      case Where::sensor_bias:
      case Where::sensor_gain:
        set_number(assumed.circuit, unknown.index, unknown.key, value);
        break;
      case Where::node_volume:
        assumed.circuit.nodes[unknown.index].volume = value;
        break;
      case Where::oil_thickness:
        assumed.circuit.engine.oil_thickness = value;
        break;
      case Where::oil_temperature:
        assumed.condition.oil_temperature = value;
        break;
      case Where::rest_air:
        assumed.condition.rest_air = value;
        break;
      case Where::hole_law:
        law = value;
        break;
      case Where::delay:
        assumed.delay = value;
        break;
      case Where::severity:
        severities.push_back(value);
        break;
    }
  }
  std::vector<Fault> faults;
  for (std::size_t i = 0; i < severities.size(); ++i) {
    const Suspect& suspect = candidate.suspects[i];
    if (suspect.in(logs[log].stage))
      faults.push_back(suspect.fault(under_another_law(*suspect.kind, severities[i], law, assumed.circuit,
                                                       assumed.condition, logs[log].leak_pressure)));
  }
  if (!faults.empty()) assumed.circuit = with_faults(assumed.circuit, faults);
  return assumed;
}

}  // namespace railseep
