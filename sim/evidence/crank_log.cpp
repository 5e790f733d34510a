// From a measured log to one crank as evidence: what drove the engine, and which pressures count.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "evidence/condense_log.hpp"
#include "evidence/evidence.hpp"
#include "log/usable.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double running_speed = 400 * 2 * std::numbers::pi / 60;  // [rad/s]; no starter turns an engine so fast
constexpr std::size_t fewest_samples = 5;

/// A channel as a signal from t0 on.
Profile profile_of(const Channel& channel, double t0) {
  std::vector<double> time;
  for (const double t : channel.time) time.push_back(t - t0);
  return {time, channel.value};
}

/// A tachometer sample catches the engine somewhere between two compressions, several per cent off the mean that drives
/// the pump. Once the starter has run up, each sample is therefore replaced by the mean of those within 4 sample
/// intervals (at least 0.4 s) around it.
Channel without_compressions(const Channel& speed, double interval, std::vector<std::string>& notes) {
  std::vector<double> cranked;
  for (const double value : speed.value)
    if (value > turning_speed) cranked.push_back(value);
  if (cranked.empty()) return speed;
  std::nth_element(cranked.begin(), cranked.begin() + static_cast<long>(cranked.size() / 2), cranked.end());
  const double usual = cranked[cranked.size() / 2], window = std::max(0.4, 4 * interval);
  const auto steady = [&](std::size_t i) { return std::abs(speed.value[i] - usual) < 0.2 * usual; };
  Channel averaged = speed;
  std::size_t first = 0;  // of those that lie within the window
  for (std::size_t i = 0; i < speed.value.size(); ++i) {
    while (speed.time[i] - speed.time[first] > window) ++first;
    if (!steady(i)) continue;
    double sum = 0, count = 0;
    for (std::size_t k = first; k < speed.value.size() && speed.time[k] - speed.time[i] <= window; ++k)
      if (steady(k)) sum += speed.value[k], count += 1;
    averaged.value[i] = sum / count;
  }
  notes.push_back(speed.header + ": each speed is the mean of those up to " +
                  format_quantity(window, Quantity::time, "s", 2) +
                  " before and after, as a sample catches the engine between two compressions");
  return averaged;
}

/// When the engine runs by itself [s of the log]: two samples in a row that no starter reaches, or the last one.
/// Infinity: it does not.
double fires_at(const Channel& speed) {
  const auto runs = [&](std::size_t i) { return speed.value[i] > running_speed; };
  for (std::size_t i = 0; i < speed.value.size(); ++i)
    if (runs(i) && (i + 1 == speed.value.size() || runs(i + 1))) return speed.time[i];
  return INFINITY;
}

void take_pressure(CrankEvidence& evidence, const Channel& channel, double t0, double end) {
  for (std::size_t i = 0; i < channel.time.size(); ++i) {
    const double t = channel.time[i] - t0;
    if (t <= end) evidence.time.push_back(t), evidence.measured.push_back(channel.value[i]);
  }
}

void take_temperature(CrankEvidence& evidence, const Log& log, const LogCondition& told, const NoiseModel& noise) {
  const auto oil = usable(log, ChannelKind::oil_temperature, evidence.notes);
  evidence.temperature_doubt = noise.measured_temperature;
  if (oil) {
    evidence.condition.oil_temperature = oil->mean();
    return;
  }
  if (told.oil_temperature) {
    evidence.condition.oil_temperature = *told.oil_temperature;
    return;
  }
  if (const auto coolant = usable(log, ChannelKind::coolant_temperature, evidence.notes)) {
    evidence.condition.oil_temperature = coolant->mean();
    evidence.temperature_doubt = 3 * noise.measured_temperature;
    evidence.notes.push_back("no oil temperature: the coolant's is taken, with more doubt");
    return;
  }
  evidence.condition.oil_temperature = 313.15;
  evidence.temperature_doubt = noise.doubtful_temperature;
  evidence.notes.push_back(
      "no oil temperature: 40 degC assumed, with 25 K of doubt; gaps and holes can hardly be told apart");
}

void take_speed(CrankEvidence& evidence, const std::optional<Channel>& speed, const Log& log, const LogCondition& told,
                double t0) {
  evidence.condition.speed_measured = true;
  if (speed) {
    evidence.condition.speed = profile_of(without_compressions(*speed, log.sample_interval, evidence.notes), t0);
  } else if (told.speed) {
    evidence.condition.speed = Profile(*told.speed);
  } else {
    throw Error(evidence.name, "neither the log nor the job says how fast the engine was cranked",
                "add \"speed\": \"170 rpm\" to the log in the job");
  }
}

/// Battery and duty drive the model as measured.
void take_drive(CrankEvidence& evidence, const Log& log, const LogCondition& told, double t0) {
  if (const auto battery = usable(log, ChannelKind::battery_voltage, evidence.notes))
    evidence.condition.battery = profile_of(*battery, t0);
  else if (told.battery)
    evidence.condition.battery = Profile(*told.battery);
  else
    evidence.notes.push_back("no battery voltage: 10.5 V assumed");
  if (const auto duty = usable(log, ChannelKind::regulator_duty, evidence.notes))
    evidence.duty = profile_of(*duty, t0);
  else
    evidence.notes.push_back("no regulator duty: the circuit's own control module sends it");
  if (told.rest_air) evidence.condition.rest_air = *told.rest_air;
}

}  // namespace

CrankEvidence crank_evidence(const Log& log, const LogCondition& told, const NoiseModel& noise) {
  require_nothing_open(log);
  CrankEvidence evidence;
  evidence.name = told.name;
  evidence.condition.oil = told.oil;
  evidence.condition.rest_time = told.rest_time;
  evidence.block = told.block;
  evidence.sample_interval = log.sample_interval;
  for (const Note& note : log.notes) evidence.notes.push_back(sentence(note));
  const auto pressure = usable(log, ChannelKind::rail_pressure, evidence.notes);
  if (!pressure) {
    std::string headers;
    for (const ColumnLayout& column : log.layout.columns)
      headers += (headers.empty() ? "\"" : ", \"") + column.header + "\"";
    throw Error(log.file, "there is no rail pressure in it that can be used; its columns are " + headers,
                "say which column it is, under \"columns\" of the log in the job");
  }
  const auto speed = usable(log, ChannelKind::engine_speed, evidence.notes);
  const double t0 = speed ? std::min(pressure->time.front(), speed->time.front()) : pressure->time.front();
  take_speed(evidence, speed, log, told, t0);
  take_drive(evidence, log, told, t0);
  take_temperature(evidence, log, told, noise);

  const double fires = speed ? fires_at(*speed) - t0 : INFINITY;
  if (std::isfinite(fires)) {
    evidence.fires = fires;
    evidence.notes.push_back("the engine fires at " + format_quantity(fires, Quantity::time, "s", 3) +
                             "; what follows is left out");
  }
  take_pressure(evidence, *pressure, t0, fires - 0.5 * log.sample_interval);
  if (evidence.time.size() < fewest_samples)
    throw Error(log.file, "only " + std::to_string(evidence.time.size()) + " usable pressures",
                "a crank needs at least " + std::to_string(fewest_samples) + "; log longer or faster");
  evidence.duration = evidence.time.back() + 1e-9;
  condense(evidence, noise, pressure->resolution);
  weigh_samples(evidence, noise, pressure->resolution);
  return evidence;
}

}  // namespace railseep
