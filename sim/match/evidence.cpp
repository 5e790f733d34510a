#include "match/evidence.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <set>

#include "match/condense_log.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double running_speed = 400 * 2 * std::numbers::pi / 60;  // [rad/s]; no starter turns an engine so fast
constexpr std::size_t fewest_samples = 5;
constexpr double least_doubt = 8;  // of a wild sample, in standard deviations of a good one (assumed)

double mean(const std::vector<double>& values) { return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size()); }

/// A channel as a signal from t0 on; of samples at one time the last counts.
Profile profile_of(const Channel& channel, double t0) {
  std::vector<double> time, value;
  for (std::size_t i = 0; i < channel.time.size(); ++i) {
    const double t = channel.time[i] - t0;
    if (!time.empty() && t <= time.back()) {
      value.back() = channel.value[i];
      continue;
    }
    time.push_back(t), value.push_back(channel.value[i]);
  }
  return {time, value};
}

/// A tachometer sample catches the engine somewhere between two compressions, several per cent off the mean that drives the pump. Once the
/// starter has run up, each sample is therefore replaced by the mean of those within 4 sample intervals (at least 0.4 s) around it.
Channel without_compressions(const Channel& speed, double interval) {
  std::vector<double> cranked;
  for (const double value : speed.value)
    if (value > 5) cranked.push_back(value);
  if (cranked.empty()) return speed;
  std::nth_element(cranked.begin(), cranked.begin() + static_cast<long>(cranked.size() / 2), cranked.end());
  const double usual = cranked[cranked.size() / 2], window = std::max(0.4, 4 * interval);
  const auto steady = [&](std::size_t i) { return std::abs(speed.value[i] - usual) < 0.2 * usual; };
  Channel mean = speed;
  for (std::size_t i = 0; i < speed.value.size(); ++i) {
    if (!steady(i)) continue;
    double sum = 0, count = 0;
    for (std::size_t k = 0; k < speed.value.size(); ++k)
      if (steady(k) && std::abs(speed.time[k] - speed.time[i]) <= window) sum += speed.value[k], count += 1;
    mean.value[i] = sum / count;
  }
  return mean;
}

/// Samples that a flag says are not a measurement of this moment.
std::set<std::size_t> doubtful_samples(const Channel& channel, std::vector<std::string>& notes) {
  std::set<std::size_t> left_out;
  for (const Flag& flag : channel.flags) {
    const bool leave = flag.kind == FlagKind::substituted || flag.kind == FlagKind::impossible || flag.kind == FlagKind::spike;
    if (leave)
      for (std::size_t i = flag.first; i <= flag.last; ++i) left_out.insert(i);
    notes.push_back(channel.header + ": " + flag.text + (leave ? " (left out)" : ""));
  }
  return left_out;
}

void take_pressure(CrankEvidence& evidence, const Channel& channel, double t0, double end) {
  const std::set<std::size_t> left_out = doubtful_samples(channel, evidence.notes);
  for (std::size_t i = 0; i < channel.time.size(); ++i) {
    const double t = channel.time[i] - t0;
    if (left_out.contains(i) || t > end || (!evidence.time.empty() && t <= evidence.time.back())) continue;
    evidence.time.push_back(t), evidence.measured.push_back(channel.value[i]);
  }
}

void take_temperature(CrankEvidence& evidence, const Log& log, const LogCondition& told, const NoiseModel& noise) {
  const Channel* oil = log.find(ChannelKind::oil_temperature);
  const Channel* coolant = log.find(ChannelKind::coolant_temperature);
  evidence.temperature_doubt = noise.measured_temperature;
  if (oil && !oil->value.empty()) {
    evidence.condition.oil_temperature = mean(oil->value);
  } else if (told.oil_temperature) {
    evidence.condition.oil_temperature = *told.oil_temperature;
  } else if (coolant && !coolant->value.empty()) {
    evidence.condition.oil_temperature = mean(coolant->value);
    evidence.temperature_doubt = 3 * noise.measured_temperature;
    evidence.notes.push_back("no oil temperature: the coolant's is taken, with more doubt");
  } else {
    evidence.condition.oil_temperature = 313.15;
    evidence.temperature_doubt = noise.doubtful_temperature;
    evidence.notes.push_back("no oil temperature: 40 degC assumed, with 25 K of doubt; gaps and holes can hardly be told apart");
  }
}

/// Signals that drive the model; @return time at which the engine runs by itself, or infinity
double take_drive(CrankEvidence& evidence, const Log& log, const LogCondition& told, double t0) {
  double fires = INFINITY;
  evidence.condition.speed_measured = true;
  if (const Channel* speed = log.find(ChannelKind::engine_speed); speed && !speed->value.empty()) {
    evidence.condition.speed = profile_of(without_compressions(*speed, log.sample_interval), t0);
    for (std::size_t i = speed->value.size(); i-- > 0;)
      if (speed->value[i] > running_speed) fires = speed->time[i] - t0;
  } else if (told.speed) {
    evidence.condition.speed = Profile(*told.speed);
  } else {
    throw Error(evidence.name, "neither the log nor the job says how fast the engine was cranked", "add \"speed\": \"170 rpm\" to the log in the job");
  }
  if (const Channel* battery = log.find(ChannelKind::battery_voltage); battery && !battery->value.empty())
    evidence.condition.battery = profile_of(*battery, t0);
  else if (told.battery)
    evidence.condition.battery = Profile(*told.battery);
  else
    evidence.notes.push_back("no battery voltage: 10.5 V assumed");
  if (const Channel* duty = log.find(ChannelKind::regulator_duty); duty && !duty->value.empty())
    evidence.duty = profile_of(*duty, t0);
  else
    evidence.notes.push_back("no regulator duty: the circuit's own control module sends it");
  if (told.rest_air) evidence.condition.rest_air = *told.rest_air;
  return fires;
}

/// How fast what is measured rises around a sample, negative where it falls [unit/s].
double slope(const CrankEvidence& evidence, std::size_t i) {
  const std::size_t before = i == 0 ? 0 : i - 1, after = std::min(i + 1, evidence.time.size() - 1);
  return (evidence.measured[after] - evidence.measured[before]) / (evidence.time[after] - evidence.time[before]);
}

/// How far each sample still has to fall, in the unit of the channel: above where the end of the log is heading for within 10 s, 0 while it only rises. Behind the
/// check valve an overshoot is trapped and falls no faster than oil leaks. Before the engine turns nothing has overshot: what is shown there is the sensor's own.
std::vector<double> left_to_fall(const CrankEvidence& evidence) {
  constexpr double ahead = 10;  // [s]
  const std::size_t last = evidence.time.size() - 1, third = last * 2 / 3;
  const double slope = (evidence.measured[last] - evidence.measured[third]) / (evidence.time[last] - evidence.time[third]);
  const double settled = std::max(0.0, evidence.measured[last] + ahead * std::min(0.0, slope));
  std::vector<double> all;
  bool turned = false;
  for (std::size_t i = 0; i <= last; ++i) {
    turned |= evidence.condition.speed.at(evidence.time[i]) > turning_speed;
    all.push_back(turned ? std::max(0.0, evidence.measured[i] - settled) : 0);
  }
  return all;
}

/// What the model may be off, as the state of a KalmanWhitener: a deviation that lasts, covariance of two samples sd_i*sd_j*exp(-|t_i - t_j|/memory); the same
/// of a rise that comes early or late or runs otherwise, because the passages fill otherwise, sd_i = slope_i*share*t_i; and the height of an overshoot,
/// which depends on what happened between two samples and is off by the same share all the way down.
Eigen::Matrix3Xd deviations_of_model(const CrankEvidence& evidence, const NoiseModel& noise) {
  const std::vector<double> fall = left_to_fall(evidence);
  const double doubt = noise.overshoot + noise.overshoot_rate * evidence.sample_interval;
  Eigen::Matrix3Xd all(3, static_cast<Eigen::Index>(evidence.time.size()));
  for (std::size_t i = 0; i < evidence.time.size(); ++i) {
    const double lasting = std::hypot(noise.offset, noise.share * evidence.measured[i]);
    const double filling = noise.filling * evidence.time[i] * std::max(0.0, slope(evidence, i));
    all.col(static_cast<Eigen::Index>(i)) = Eigen::Vector3d(lasting, filling, doubt * fall[i]);
  }
  return all;
}

/// The time that counts for what the model forgets of its deviations. Of a condensed log it passes more slowly where nothing bends for long: the model goes on being
/// off as it was while the engine goes on as it did, and minutes of that tell no more than seconds.
std::vector<double> time_of_deviations(const CrankEvidence& evidence, double memory) {
  if (evidence.averages.empty()) return evidence.time;
  std::vector<double> time{0};
  for (std::size_t i = 1; i < evidence.time.size(); ++i) time.push_back(time.back() + std::min(evidence.time[i] - evidence.time[i - 1], stretch_of_memory * memory));
  return time;
}

/// Independent noise of the sensor, its steps and the times of its samples. A mean has less noise, and may miss the curve.
Eigen::VectorXd variance_of_samples(const CrankEvidence& evidence, const NoiseModel& noise, double resolution) {
  Eigen::VectorXd variance(static_cast<Eigen::Index>(evidence.time.size()));
  for (Eigen::Index i = 0; i < variance.size(); ++i) {
    const double timing = noise.timing * evidence.sample_interval * slope(evidence, static_cast<std::size_t>(i));
    variance[i] = noise.noise * noise.noise + resolution * resolution / 12;
    if (!evidence.averages.empty()) {
      const double bend = evidence.averages.bend[static_cast<std::size_t>(i)];
      variance[i] = variance[i] / evidence.averages.samples[static_cast<std::size_t>(i)] + bend * bend;
    }
    variance[i] += timing * timing;
  }
  return variance;
}

}  // namespace

double scatter(const CrankEvidence& evidence) {
  constexpr double rare = 0.6;  // [s] between sweeps (assumed)
  constexpr std::size_t fewest = 6;
  if (evidence.sample_interval > rare) return NAN;
  std::vector<double> bends;
  for (std::size_t i = std::max<std::size_t>(1, evidence.time.size() / 2); i + 1 < evidence.time.size(); ++i) {
    const double before = evidence.time[i] - evidence.time[i - 1], after = evidence.time[i + 1] - evidence.time[i];
    const double line = (evidence.measured[i - 1] * after + evidence.measured[i + 1] * before) / (before + after);
    bends.push_back(2 * std::abs(evidence.measured[i] - line));
  }
  if (bends.size() < fewest) return NAN;
  std::nth_element(bends.begin(), bends.begin() + static_cast<long>(bends.size() / 2), bends.end());
  return bends[bends.size() / 2] / (0.6745 * std::sqrt(6.0));
}

void weigh_samples(CrankEvidence& evidence, NoiseModel noise, double resolution) {
  noise.noise = std::fmax(noise.noise, evidence.averages.empty() ? scatter(evidence) : evidence.averages.scatter);
  evidence.guessed = noise.guessed;
  const Eigen::Matrix3Xd model = deviations_of_model(evidence, noise);
  const Eigen::VectorXd samples = variance_of_samples(evidence, noise, resolution);
  const std::vector<double> time = time_of_deviations(evidence, noise.memory);
  std::vector<LogTolerance::Width> widths;
  for (const auto& [times, chance] : noise.off) widths.push_back({chance, KalmanWhitener(time, noise.memory, times * model, samples)});
  double most = 0;
  for (const double value : evidence.measured) most = std::max(most, std::abs(value));
  const Eigen::VectorXd doubt = (least_doubt * widths.front().whitener.deviation()).cwiseMax(most);
  evidence.tolerance = std::make_shared<const LogTolerance>(std::move(widths), doubt, noise.wild);
}

Eigen::VectorXd CrankEvidence::whiten(const std::vector<double>& computed) const {
  Eigen::VectorXd r(static_cast<Eigen::Index>(time.size()));
  for (Eigen::Index i = 0; i < r.size(); ++i) r[i] = measured[i] - computed[i];
  tolerance->levels.front().whitener.whiten(r);
  return r;
}

bool guessed(const std::vector<CrankEvidence>& logs) { return std::ranges::any_of(logs, &CrankEvidence::guessed); }

Tolerances tolerances_of(const std::vector<CrankEvidence>& logs) {
  std::vector<std::shared_ptr<const LogTolerance>> all;
  for (const CrankEvidence& log : logs) all.push_back(log.tolerance);
  return Tolerances(std::move(all));
}

CrankEvidence crank_evidence(const Log& log, const LogCondition& told, const NoiseModel& noise) {
  CrankEvidence evidence;
  evidence.name = told.name;
  evidence.condition.oil = told.oil;
  evidence.condition.rest_time = told.rest_time;
  evidence.block = told.block;
  evidence.sample_interval = log.sample_interval;
  for (const Note& note : log.notes) evidence.notes.push_back(note.text);
  const Channel* pressure = log.find(ChannelKind::rail_pressure);
  if (!pressure || pressure->value.empty())
    throw Error(log.file, "there is no rail pressure in it", "say which column it is, under \"columns\" of the log in the job");

  double t0 = pressure->time.front();
  if (const Channel* speed = log.find(ChannelKind::engine_speed); speed && !speed->time.empty()) t0 = std::min(t0, speed->time.front());
  const double fires = take_drive(evidence, log, told, t0);
  if (std::isfinite(fires)) evidence.notes.push_back("the engine fires at " + std::to_string(fires).substr(0, 4) + " s; what follows is left out");
  take_temperature(evidence, log, told, noise);
  take_pressure(evidence, *pressure, t0, std::isfinite(fires) ? fires - 0.5 * log.sample_interval : INFINITY);
  if (evidence.time.size() < fewest_samples)
    throw Error(log.file, "only " + std::to_string(evidence.time.size()) + " usable pressures", "a crank needs at least " + std::to_string(fewest_samples) + "; log longer or faster");
  evidence.duration = evidence.time.back() + 1e-9;
  condense(evidence, noise, pressure->resolution);
  weigh_samples(evidence, noise, pressure->resolution);
  return evidence;
}

}  // namespace railseep
