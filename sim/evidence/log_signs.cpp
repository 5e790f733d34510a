#include "evidence/log_signs.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "log/usable.hpp"

namespace railseep {

namespace {

constexpr double missed = 0.03;       // a broken wire whose log looks measured, a dead driver whose duty moves: assumed
constexpr double false_alarm = 0.01;  // the other way round: assumed
constexpr double mostly = 0.5;        // share of samples that makes a pressure substituted
constexpr double far_below = 0.6;     // of the wanted pressure
constexpr double floor_height = 0.12,
                 floor_step =
                     0.03;  // a duty that sleeps is low and does not move: duty floors of 5 to 10 % in the trade [-]
constexpr std::size_t enough = 5;                                // samples
constexpr double disagreement = 0.25, least_disagreement = 3e5;  // of psi and volts [-], [Pa]: assumed

double sample_before(const Channel& channel, double t) {
  const auto after = std::upper_bound(channel.time.begin(), channel.time.end(), t);
  return channel.value[static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, after - channel.time.begin() - 1))];
}

/// Duty while the engine turns. A pressure near the wanted one by a duty above the floor has been made by the
/// regulator: it is awake.
std::optional<bool> asleep(const Log& log) {
  std::vector<std::string> notes;  // told where the log becomes evidence
  const Channel* pressure = log.find(ChannelKind::rail_pressure);
  const auto duty = usable(log, ChannelKind::regulator_duty, notes),
             wanted = usable(log, ChannelKind::desired_pressure, notes);
  const auto speed = usable(log, ChannelKind::engine_speed, notes);
  if (!pressure || !duty || !wanted || pressure->value.empty()) return std::nullopt;
  double least = 1, most = 0;
  std::size_t count = 0, works = 0;
  for (std::size_t i = 0; i < duty->time.size(); ++i) {
    const double t = duty->time[i];
    const bool turning = !speed || sample_before(*speed, t) > turning_speed;
    if (!turning) continue;
    if (sample_before(*pressure, t) > far_below * sample_before(*wanted, t)) {
      if (duty->value[i] > floor_height) ++works;
      continue;
    }
    least = std::min(least, duty->value[i]), most = std::max(most, duty->value[i]);
    ++count;
  }
  if (works >= enough) return false;
  if (count < enough) return std::nullopt;
  return most < floor_height && most - least < floor_step;
}

double chance(bool seen, bool there) {
  return std::log(there ? (seen ? 1 - missed : missed) : (seen ? false_alarm : 1 - false_alarm));
}

}  // namespace

LogSigns log_signs(const Log& log, const std::string& name) {
  LogSigns signs;
  signs.name = name;
  signs.asleep = asleep(log);
  const Channel* pressure = log.find(ChannelKind::rail_pressure);
  if (!pressure || pressure->value.empty()) return signs;
  double flagged = 0;
  for (const Flag& flag : pressure->flags)
    if (flag.kind == FlagKind::substituted) flagged += static_cast<double>(flag.last - flag.first + 1);
  signs.substituted = flagged / static_cast<double>(pressure->value.size());
  if (const Channel* volts = log.find(ChannelKind::rail_pressure_volts);
      volts && !volts->value.empty() && !pressure->from_volts)
    signs.shown = pressure->mean(), signs.volts = volts->mean();
  return signs;
}

double log_likelihood(const LogSigns& signs, const Circuit& circuit) {
  const int at = circuit.only<Sensor>();
  if (at < 0) return 0;
  const Sensor& sensor = std::get<Sensor>(circuit.links[at].element);
  const bool believed = sensor.believed(sensor.volts(0)), asleep = circuit.engine.regulator_driver <= 0.5;
  // Where volts are logged they say it themselves; the flag would only say the same once more.
  bool made_up = signs.substituted > mostly;
  if (signs.shown) {
    const double by_volts = (*signs.volts - sensor.zero) * sensor.span;
    made_up = std::abs(*signs.shown - by_volts) > std::max(least_disagreement, disagreement * by_volts);
  }
  return chance(made_up, !believed) + (signs.asleep ? chance(*signs.asleep, asleep) : 0);
}

}  // namespace railseep
