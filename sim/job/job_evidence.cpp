#include <algorithm>

#include "job/job.hpp"
#include "job/value_in_words.hpp"
#include "log/log_reader.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double usual_idle_temperature = 363.15,
                 usual_temperature = 293.15;              // of oil that nobody measured [K]: assumed
constexpr double shortest_crank = 2, longest_crank = 60;  // of what a log holds, as something that may start [s]
constexpr double mostly = 0.5;  // share of substituted pressures above which a log is not fitted

Situation::Done done_at(Moment moment) {
  switch (moment) {
    case Moment::key_on:
      return Situation::Done::key_on;
    case Moment::idle:
      return Situation::Done::idle;
    case Moment::key_off:
      return Situation::Done::key_off;
    default:
      return Situation::Done::crank;
  }
}

Situation situation_of(const LogCondition& told, Moment moment) {
  Situation situation;
  situation.done = done_at(moment);
  situation.block = told.block;
  situation.oil = told.oil;
  situation.oil_temperature =
      told.oil_temperature.value_or(moment == Moment::idle ? usual_idle_temperature : usual_temperature);
  situation.speed = told.speed;
  situation.battery = told.battery;
  situation.rest_air = told.rest_air;
  situation.rest_time = told.rest_time;
  return situation;
}

void take_reading(Observations& observations, const JobReading& told) {
  Reading reading;
  reading.name = told.when.empty() ? std::string(kind_name(told.kind)) : told.when;
  reading.kind = told.kind;
  reading.value = told.value;
  reading.at_least = told.at_least, reading.at_most = told.at_most;
  reading.tolerance = told.tolerance;
  reading.situation = situation_of(told.condition, told.moment);
  if (told.cranked) reading.situation.cranked = *told.cranked;
  reading.temperature_known = told.condition.oil_temperature.has_value();
  if (told.moment == Moment::highest_cranking) reading.part = Reading::Part::peak;
  if (told.moment == Moment::key_off) reading.part = Reading::Part::later, reading.later = told.later.value_or(0);
  if (const std::string why = why_unused(told); !why.empty())
    observations.notes.push_back(reading.name + ": not used, because " + why);
  else
    observations.readings.push_back(std::move(reading));
}

/// A start that was logged happened in the condition the log measured.
Situation situation_of(const CrankEvidence& crank) {
  Situation situation;
  situation.block = crank.block;
  situation.oil = crank.condition.oil;
  situation.oil_temperature = crank.condition.oil_temperature;
  situation.rest_air = crank.condition.rest_air;
  situation.rest_time = crank.condition.rest_time;
  situation.cranked = std::clamp(crank.duration, shortest_crank, longest_crank);
  const double settled = 0.7 * crank.duration;
  situation.speed = crank.condition.speed.at(settled);
  situation.battery = crank.condition.battery.at(settled);
  return situation;
}

/// A log in which nothing is left to ask.
Log read_believed(const std::string& path, const JobLog& told, const EngineHints& engine) {
  LogOptions options = told.options;
  options.engine = engine;
  Log log = read_log(path, options);
  require_nothing_open(log);
  return log;
}

/// A log of the good engine: its curve, and nothing that would speak of a fault.
void take_good_log(Evidence& evidence, const JobLog& told, const std::string& path, const EngineHints& engine) {
  const Log log = read_believed(path, told, engine);
  if (log_signs(log, told.condition.name).substituted > mostly) {
    evidence.observations.notes.push_back(told.condition.name +
                                          ": not used, because its pressures are substituted, not measured");
    return;
  }
  evidence.logs.push_back(crank_evidence(log, told.condition));
  evidence.logs.back().stage = Stage::good;
}

void take_log(Evidence& evidence, const JobLog& told, const std::string& path, const EngineHints& engine) {
  const Log log = read_believed(path, told, engine);
  LogSigns signs = log_signs(log, told.condition.name);
  const bool fitted = signs.substituted <= mostly;
  evidence.observations.logs.push_back(std::move(signs));
  if (fitted) {
    evidence.logs.push_back(crank_evidence(log, told.condition));
    if (told.started)
      evidence.observations.starts.push_back({told.condition.name, *told.started, situation_of(evidence.logs.back())});
    return;
  }
  evidence.observations.notes.push_back(
      told.condition.name +
      ": its pressures are substituted, not measured, so they are not fitted; that they are is evidence");
  if (told.started)
    evidence.observations.starts.push_back(
        {told.condition.name, *told.started, situation_of(told.condition, Moment::cranking)});
}

std::string but_better_told(const JobFinding& finding) {
  const std::string better = better_told(finding);
  return better.empty() ? "" : "; " + better;
}

void take_finding(Observations& observations, const JobFinding& finding) {
  if (finding.bad || finding.resistance)
    observations.checks.push_back(
        {finding.check, finding.bad.value_or(false), finding.place, finding.resistance, finding.described()});
  else
    observations.notes.push_back(finding.check + ": words alone, not used" + but_better_told(finding));
}

}  // namespace

EngineHints engine_hints(const Circuit& circuit) {
  EngineHints hints;
  hints.enable_pressure = circuit.control.enable_pressure;
  if (const int at = circuit.only<Sensor>(); at >= 0) {
    const Sensor& sensor = std::get<Sensor>(circuit.links[static_cast<std::size_t>(at)].element);
    hints.sensor_zero = sensor.zero;
    hints.sensor_gain = sensor.span;
  }
  return hints;
}

std::string why_unused(const JobReading& reading) {
  if (reading.moment == Moment::unsaid) return "it is not said what was done to the engine (\"moment\")";
  if (!is_computed(reading.kind, done_at(reading.moment)))
    return "the model does not compute " + std::string(kind_name(reading.kind)) + " then";
  return "";
}

Evidence evidence_of(const Job& job, const FindFile& find, Stage stage, const EngineHints& engine) {
  Evidence evidence;
  Observations& observations = evidence.observations;
  for (const JobLog& log : job.logs)
    if (log.stage == stage) take_log(evidence, log, find(log.file), engine);
  for (const JobLog& log : job.logs)
    if (log.stage == Stage::good) take_good_log(evidence, log, find(log.file), engine);
  for (const JobReading& reading : job.readings)
    if (reading.stage == stage) take_reading(observations, reading);
  for (const JobStart& start : job.starts) {
    if (start.stage != stage) continue;
    Situation situation = situation_of(start.condition, Moment::cranking);
    if (start.cranked) situation.cranked = *start.cranked;
    observations.starts.push_back({start.condition.name, start.started, situation});
  }
  if (stage == Stage::after) return evidence;  // checks and air tests are of the engine as it came
  for (const JobFinding& finding : job.findings) take_finding(observations, finding);
  observations.air = job.air_tests;
  return evidence;
}

}  // namespace railseep
