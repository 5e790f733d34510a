#include "match/predictor.hpp"

#include <algorithm>
#include <cmath>

#include "procedure/crank.hpp"

namespace railseep {

namespace {

using Where = Unknown::Where;

constexpr double grid = 0.02;         // between the kept values of a crank [s]; read between them by straight lines
constexpr double tolerance = 1e-5;    // of a step's pressures: a whole crank within 1e-3, far below the model's own doubt

double latest_delay(const std::vector<Unknown>& unknowns, std::size_t log) {
  for (const Unknown& unknown : unknowns)
    if (unknown.where == Where::delay && unknown.index == static_cast<int>(log)) return unknown.most;
  return 0;
}

/// What the sensor would show without any error of its own: what it really shows is worked out where the crank is read.
Sensor without_errors(Sensor sensor) {
  sensor.bias = sensor.hot_drift = sensor.open_circuit = sensor.resolution = 0;
  sensor.gain_error = 1;
  return sensor;
}

double read_at(const std::vector<double>& kept, double t) {
  const double at = std::max(0.0, t) / grid;
  const std::size_t before = std::min(static_cast<std::size_t>(at), kept.size() - 2);
  return kept[before] + (at - static_cast<double>(before)) * (kept[before + 1] - kept[before]);
}

}  // namespace

Predictor::Predictor(const Circuit& circuit, const Candidate& candidate, const std::vector<CrankEvidence>& logs)
    : circuit_(circuit), candidate_(candidate), logs_(logs), unknowns_(unknowns_of(circuit, candidate, logs)), kept_(logs.size()) {}

bool Predictor::shapes_crank(const Unknown& unknown, std::size_t log) const {
  const bool read_only = logs_[log].duty.has_value();  // else the control module acts on what the sensor shows
  if (unknown.of_log() && unknown.index != static_cast<int>(log)) return false;
  switch (unknown.where) {
    case Where::sensor_bias:
    case Where::sensor_gain: return !read_only;
    case Where::severity: {
      const Suspect& suspect = candidate_.suspects[static_cast<std::size_t>(unknown.index)];
      return suspect.in(logs_[log].stage) && (!read_only || suspect.kind->applies_to != Sensor::kind);
    }
    case Where::hole_law:
      return std::ranges::any_of(candidate_.suspects, [](const Suspect& suspect) { return suspect.kind->quantity == Quantity::length && suspect.kind->word != "gap"; });
    case Where::delay: return false;
    default: return true;
  }
}

const std::vector<double>& Predictor::raw(std::size_t log, const Key& key, const Assumed& assumed) {
  const auto known = kept_[log].find(key);
  if (known != kept_[log].end()) return known->second;
  CrankOptions options;
  options.pressure_only = logs_[log].of_sensor();
  options.duty = logs_[log].duty;
  options.tolerance = tolerance;
  options.output_interval = grid;
  options.duration = logs_[log].duration + latest_delay(unknowns_, log) + grid;
  ++cranks_;
  return kept_[log][key] = crank(assumed.circuit, assumed.condition, options).trace.find(logs_[log].channel).value;
}

std::vector<std::vector<double>> Predictor::shown(const Eigen::VectorXd& u) {
  const int link = circuit_.only<Sensor>();
  std::vector<std::vector<double>> all;
  for (std::size_t i = 0; i < logs_.size(); ++i) {
    Assumed assumed = assume(circuit_, candidate_, unknowns_, logs_, i, u);
    Key key;
    for (std::size_t k = 0; k < unknowns_.size(); ++k)
      if (shapes_crank(unknowns_[k], i)) key.push_back(u[static_cast<Eigen::Index>(k)]);
    Sensor& sensor = std::get<Sensor>(assumed.circuit.links[link].element);
    const Sensor as_assumed = sensor;
    const bool read_only = logs_[i].duty.has_value();
    if (read_only) sensor = without_errors(sensor);
    const std::vector<double>& kept = raw(i, key, assumed);
    std::vector<double> read;
    for (const double t : logs_[i].time) {
      const double value = read_at(kept, t + assumed.delay);
      read.push_back(read_only && logs_[i].of_sensor() ? as_assumed.shown_pressure(value, assumed.condition.oil_temperature) : value);
    }
    all.push_back(std::move(read));
  }
  return all;
}

Eigen::VectorXd Predictor::residuals(const Eigen::VectorXd& u) {
  const std::vector<std::vector<double>> computed = shown(u);
  Eigen::Index size = 0, at = 0;
  for (const CrankEvidence& log : logs_) size += static_cast<Eigen::Index>(log.time.size());
  Eigen::VectorXd all(size);
  for (std::size_t i = 0; i < logs_.size(); ++i) {
    const Eigen::VectorXd r = logs_[i].whiten(computed[i]);
    all.segment(at, r.size()) = r;
    at += r.size();
  }
  return all;
}

}  // namespace railseep
