#include "hypothesis/predictor.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "fit/in_parallel.hpp"
#include "procedure/crank.hpp"

namespace railseep {

namespace {

using Where = Unknown::Where;

constexpr std::size_t most_kept = 1 << 19;  // values of the cranks of one log: 4 MB

/// Clocks looked at, in prior standard deviations; 0 first, so that it wins a draw.
constexpr double clock_scan[] = {0,    -0.25, 0.25,  -0.5, 0.5, -0.75, 0.75, -1,  1,  -1.25, 1.25,
                                 -1.5, 1.5,   -1.75, 1.75, -2,  2,     -2.5, 2.5, -3, 3};

constexpr int fillings = 4;           // tried until the rise is when it was
constexpr double most_air = 2.6;      // prior standard deviations
constexpr double most_air_alone = 4;  // the same where no severity can make the rise late: only air is left
constexpr double least_rise = 5e5;    // what rises by less has no rise that could be timed [Pa]
constexpr double timed = 0.5;         // sample intervals: nearer the clock and the least squares find it

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

/// What a crank of these logs feels of a circuit with these faults: where its numbers come from, what it costs to reach
/// a part and what else could leak only make it heavy to copy.
Circuit bare(Circuit circuit, const Candidate& candidate, const std::vector<CrankEvidence>& logs) {
  for (Link& link : circuit.links) link.provenance.clear(), link.source.clear(), link.access.clear();
  for (Node& node : circuit.nodes) node.provenance.clear(), node.source.clear();
  circuit.about.clear(), circuit.access.clear(), circuit.control.source.clear();
  circuit.listening = {};
  if (std::ranges::all_of(logs, [](const CrankEvidence& log) { return log.block.empty(); })) circuit.blocks.clear();
  const auto suspected = [&candidate](const Site& site) {
    return std::ranges::any_of(candidate.suspects, [&site](const Suspect& suspect) {
      return std::ranges::find(suspect.places, site.name, &PossibleFault::place) != suspect.places.end();
    });
  };
  std::erase_if(circuit.sites, [&suspected](const Site& site) { return !suspected(site); });
  for (Site& site : circuit.sites) site.access.clear(), site.source.clear();
  return circuit;
}

/// Half of the most that two samples in a row reach: one wild sample does not move it, and the rise may come as late as
/// it likes.
double half_way(const std::vector<double>& values) {
  double reached = 0;
  for (std::size_t i = 1; i < values.size(); ++i) reached = std::max(reached, std::min(values[i - 1], values[i]));
  return 0.5 * reached;
}

/// When values first go through the level and stay beyond it, between two samples by a straight line; NAN: they do not.
double rise(const std::vector<double>& time, const std::vector<double>& values, double level) {
  for (std::size_t i = 1; i + 1 < values.size(); ++i)
    if (values[i - 1] < level && values[i] >= level && values[i + 1] >= level)
      return time[i - 1] + (level - values[i - 1]) / (values[i] - values[i - 1]) * (time[i] - time[i - 1]);
  return NAN;
}

/// The last moment before the engine turns [s].
double turns_from(const Profile& speed) {
  double from = 0;
  for (const double t : speed.corners()) {
    if (speed.at(t) > turning_speed) break;
    from = t;
  }
  return from;
}

}  // namespace

Predictor::Predictor(const Circuit& circuit, const Candidate& candidate, const std::vector<CrankEvidence>& logs)
    : circuit_(bare(circuit, candidate, logs)),
      candidate_(candidate),
      logs_(logs),
      unknowns_(unknowns_of(circuit, candidate, logs)),
      kept_(logs.size()) {
  for (std::size_t log = 0; log < logs.size(); ++log) grids_.emplace_back(logs[log], latest_delay(unknowns_, log));
}

bool Predictor::shapes_crank(const Unknown& unknown, std::size_t log) const {
  const bool read_only = logs_[log].duty.has_value();  // else the control module acts on what the sensor shows
  if (unknown.of_log() && unknown.index != static_cast<int>(log)) return false;
  switch (unknown.where) {
    case Where::sensor_bias:
    case Where::sensor_gain:
      return !read_only;
    case Where::severity: {
      const Suspect& suspect = candidate_.suspects[static_cast<std::size_t>(unknown.index)];
      return suspect.in(logs_[log].stage) && (!read_only || suspect.kind->applies_to != Sensor::kind);
    }
    case Where::hole_law:
      return std::ranges::any_of(candidate_.suspects,
                                 [](const Suspect& suspect) { return feels_hole_law(*suspect.kind); });
    case Where::delay:
      return false;
    default:
      return true;
  }
}

Predictor::Values Predictor::raw(std::size_t log, const Key& key, const Assumed& assumed) {
  {
    const std::lock_guard lock(guard_);
    const auto known = kept_[log].find(key);
    if (known != kept_[log].end()) return known->second;
  }
  CrankOptions options;
  options.pressure_only = logs_[log].of_sensor();
  options.duty = logs_[log].duty;
  options.tolerance = tolerance_;
  options.output_times = grids_[log].times();
  options.duration = grids_[log].duration();
  const auto channel = std::make_shared<const std::vector<double>>(
      crank(assumed.circuit, assumed.condition, options).trace.find(logs_[log].channel).value);
  const std::lock_guard lock(guard_);
  if ((kept_[log].size() + 1) * channel->size() > most_kept) kept_[log].clear();
  return kept_[log].try_emplace(key, channel).first->second;
}

void Predictor::compute_within(double tolerance) {
  if (tolerance != tolerance_) forget();
  tolerance_ = tolerance;
}

Predictor::Kept Predictor::kept(std::size_t log, const Eigen::VectorXd& u) {
  Assumed assumed = assume(circuit_, candidate_, unknowns_, logs_, log, u);
  Key key;
  for (std::size_t k = 0; k < unknowns_.size(); ++k)
    if (shapes_crank(unknowns_[k], log)) key.push_back(u[static_cast<Eigen::Index>(k)]);
  Sensor& sensor = std::get<Sensor>(assumed.circuit.links[circuit_.only<Sensor>()].element);
  const bool read_only = logs_[log].duty.has_value();
  Kept result{nullptr, sensor, assumed.condition.oil_temperature, assumed.delay, read_only && logs_[log].of_sensor()};
  if (read_only) sensor = without_errors(sensor);
  result.channel = raw(log, key, assumed);
  return result;
}

std::vector<double> Predictor::read(const Kept& kept, std::size_t log, double delay) const {
  std::vector<double> values;
  for (const double t : logs_[log].time) {
    const double value = grids_[log].read(*kept.channel, t + delay);
    values.push_back(kept.bare ? kept.sensor.shown_pressure(value, kept.temperature) : value);
  }
  return values;
}

std::vector<std::vector<double>> Predictor::shown(const Eigen::VectorXd& u) {
  std::vector<std::vector<double>> all(logs_.size());
  with_idle_threads(logs_.size(), [&](std::size_t i) {
    const Kept crank = kept(i, u);
    all[i] = read(crank, i, crank.delay);
  });
  return all;
}

Eigen::VectorXd Predictor::with_best_clock(Eigen::VectorXd u, const Tolerances& tolerances, double wider) {
  Eigen::VectorXd r = residuals(u) / wider;
  Eigen::Index first = 0;
  for (std::size_t log = 0; log < logs_.size(); ++log) {
    const auto size = static_cast<Eigen::Index>(logs_[log].time.size());
    for (std::size_t k = 0; k < unknowns_.size(); ++k) {
      if (unknowns_[k].where != Where::delay || unknowns_[k].index != static_cast<int>(log)) continue;
      const Kept crank = kept(log, u);
      double lowest = std::numeric_limits<double>::infinity();
      Eigen::VectorXd best;
      for (const double at : clock_scan) {
        r.segment(first, size) = logs_[log].whiten(read(crank, log, unknowns_[k].value(at))) / wider;
        const double here = tolerances.loss(r) + 0.5 * at * at;
        if (here < lowest) lowest = here, best = r, u[static_cast<Eigen::Index>(k)] = at;
      }
      r = best;
    }
    first += size;
  }
  return u;
}

/// When the computed pressure is half way to what it reaches at the samples, by the log's own clock.
double Predictor::rise_of(const Kept& kept, std::size_t log) const {
  const double level = half_way(read(kept, log, kept.delay));
  if (level < 0.5 * least_rise) return NAN;
  const std::vector<double>& values = *kept.channel;
  std::vector<double> time = grids_[log].times();
  for (double& t : time) t -= kept.delay;
  return rise(time, values, level);
}

/// The rise comes the later the more air there is: at first that is taken to be in proportion, then as it was seen to
/// be (secant in ln time).
double Predictor::air_for_rise(Eigen::VectorXd u, std::size_t unknown, double was, double from) {
  const auto k = static_cast<Eigen::Index>(unknown);
  const auto log = static_cast<std::size_t>(unknowns_[unknown].index);
  const double in_proportion = unknowns_[unknown].spread, near = timed * logs_[log].sample_interval;
  const double most = candidate_.healthy() ? most_air_alone : most_air;
  double steep = in_proportion, nearest = u[k], miss = std::numeric_limits<double>::infinity(), air_before = NAN,
         late_before = NAN;
  for (int i = 0; i < fillings; ++i) {
    const double is = rise_of(kept(log, u), log);
    if (!(is > from)) break;
    if (std::abs(is - was) < miss) miss = std::abs(is - was), nearest = u[k];
    if (miss < near) break;
    const double late = std::log((is - from) / (was - from));
    if (u[k] != air_before && i > 0)
      steep = std::clamp((late - late_before) / (u[k] - air_before), 0.1 * in_proportion, 2 * in_proportion);
    air_before = u[k], late_before = late;
    u[k] = std::clamp(u[k] - late / steep, -most, most);
  }
  return nearest;
}

Eigen::VectorXd Predictor::with_air_matching_rise(Eigen::VectorXd u) {
  for (std::size_t k = 0; k < unknowns_.size(); ++k) {
    if (unknowns_[k].where != Where::rest_air) continue;
    const CrankEvidence& measured = logs_[static_cast<std::size_t>(unknowns_[k].index)];
    const double level = half_way(measured.measured), was = rise(measured.time, measured.measured, level),
                 from = turns_from(measured.condition.speed);
    if (level > 0.5 * least_rise && was > from) u[static_cast<Eigen::Index>(k)] = air_for_rise(u, k, was, from);
  }
  return u;
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
