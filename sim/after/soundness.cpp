#include "after/soundness.hpp"

#include <algorithm>
#include <cmath>

#include "circuit/faults.hpp"
#include "procedure/crank.hpp"

namespace railseep {

namespace {

constexpr double counts_as_hot = 333.15;  // from here on a log shows what hot oil does [K] (assumed)
constexpr double hot_crank_oil = 363.15;  // of the hot crank that is computed where none was logged [K]
constexpr double too_rare = 1e-3;         // probability of a fit below which it is not looked into [-]

/// Whether a log tells how the whole circuit builds pressure with the trouble in it.
bool judges(const CrankEvidence& log) { return log.stage != Stage::good && log.block.empty() && !log.time.empty(); }

/// When the engine begins to turn; the first sample, where nothing says otherwise [s].
double turns_from(const CrankEvidence& log) {
  if (log.condition.speed.empty()) return log.time.front();
  for (const double t : log.time)
    if (log.condition.speed.at(t) > turning_speed) return t;
  return log.time.front();
}

bool there_in_time(const CrankEvidence& log, const std::vector<double>& shown, double enable) {
  const double until = turns_from(log) + good_build_time;
  for (std::size_t k = 0; k < shown.size(); ++k)
    if (log.time[k] <= until && shown[k] >= enable) return true;
  return false;
}

/// An engine that fires was enabled, whether a sample fell between that and the firing or not.
bool measured_in_time(const CrankEvidence& log, double enable) {
  return (log.fires && *log.fires <= turns_from(log) + good_build_time) || there_in_time(log, log.measured, enable);
}

bool enough_in_hot_crank(const Circuit& circuit, const CrankEvidence& like, const FaultFit& fit) {
  Condition hot = like.condition;
  hot.oil_temperature = hot_crank_oil;
  hot.speed = Profile(like.condition.speed.at(like.time.back()));
  CrankOptions options;
  options.duration = good_build_time;
  options.tolerance = 1e-4;
  options.pressure_only = true;
  const Trace trace = crank(with_faults(circuit, fit.faults()), hot, options).trace;
  return std::ranges::max(trace.find(signal::shown_pressure).value) >= circuit.control.enable_pressure;
}

}  // namespace

bool leaves_pressure_in_time(const Circuit& circuit, const MatchResult& result, const FaultFit& fit) {
  if (fit.candidate.healthy() || fit.computed.size() != result.logs.size() ||
      !std::ranges::all_of(fit.candidate.suspects,
                           [](const Suspect& suspect) { return suspect.kind->only_lowers_pressure; }))
    return false;
  const CrankEvidence* hottest = nullptr;
  for (std::size_t i = 0; i < result.logs.size(); ++i) {
    const CrankEvidence& log = result.logs[i];
    if (!judges(log) || fit.computed[i].empty()) continue;
    if (!there_in_time(log, fit.computed[i], circuit.control.enable_pressure)) return false;
    if (!hottest || log.condition.oil_temperature > hottest->condition.oil_temperature) hottest = &log;
  }
  return hottest &&
         (hottest->condition.oil_temperature >= counts_as_hot || enough_in_hot_crank(circuit, *hottest, fit));
}

Soundness soundness(const Circuit& circuit, const MatchResult& result) {
  Soundness sound;
  std::size_t judging = 0, in_time = 0, firing = 0;
  for (const CrankEvidence& log : result.logs) {
    if (!judges(log)) continue;
    ++judging;
    in_time += measured_in_time(log, circuit.control.enable_pressure);
    firing += log.fires.has_value();
  }
  sound.in_time = judging > 0 && in_time == judging;
  sound.fires = judging > 0 && firing == judging;
  for (const FaultFit& fit : result.fits) {
    if (fit.candidate.healthy())
      sound.nothing_wrong += fit.probability;
    else if (fit.probability >= too_rare && leaves_pressure_in_time(circuit, result, fit))
      sound.harmless += fit.probability;
  }
  return sound;
}

}  // namespace railseep
