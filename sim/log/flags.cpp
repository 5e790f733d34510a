#include "log/flags.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

#include "log/log_unit.hpp"
#include "log/time_axis.hpp"

namespace railseep {
bool leaves_out(FlagKind kind) {
  return kind == FlagKind::substituted || kind == FlagKind::impossible || kind == FlagKind::spike;
}

std::vector<bool> left_out(const Channel& channel) {
  std::vector<bool> out(channel.value.size());
  for (const Flag& flag : channel.flags) {
    if (leaves_out(flag.kind))
      std::fill(out.begin() + static_cast<long>(flag.first), out.begin() + static_cast<long>(flag.last) + 1, true);
  }
  return out;
}

namespace {

constexpr std::size_t flat_samples = 8;    // equal to the last digit for so long is no noise
constexpr double dropout_intervals = 3;    // a longer pause is a dropout
constexpr double spike_over_noise = 10;    // times the usual step from sample to sample
constexpr double spike_over_value = 0.05;  // and this part of the value, and the floor below

// As the file writes it.
std::string shown(const Channel& channel, double si) { return in_unit(si, *find_log_unit(channel.unit)); }

void add_flag(Channel& channel, FlagKind kind, std::size_t first, std::size_t last, const std::string& text) {
  channel.flags.push_back({kind, first, last, channel.lines.at(first), text});
}

struct Extent {
  double least = std::numeric_limits<double>::infinity(), most = -least;
  std::size_t samples = 0;
  double span() const { return samples == 0 ? 0 : most - least; }
};

Extent extent_between(const Channel& channel, double from, double to) {
  Extent extent;
  auto t = std::lower_bound(channel.time.begin(), channel.time.end(), from);
  for (; t != channel.time.end() && *t <= to; ++t, ++extent.samples) {
    const double v = channel.value[static_cast<std::size_t>(t - channel.time.begin())];
    extent.least = std::min(extent.least, v);
    extent.most = std::max(extent.most, v);
  }
  return extent;
}

// Why a flat stretch cannot be a measurement; empty if it can.
std::string flat_reason(const Log& log, const Channel& channel, double from, double to, double value) {
  if (const Channel* desired = log.find(ChannelKind::desired_pressure);
      desired && channel.kind == ChannelKind::rail_pressure) {
    const Extent extent = extent_between(*desired, from, to);
    const double near = 1e-6 * std::fabs(value);
    if (extent.samples >= 3 && extent.span() <= near && std::fabs(extent.least - value) <= near) {
      return "equal to the desired pressure";
    }
  }
  if (const Channel* engine = log.find(ChannelKind::engine_speed)) {
    if (extent_between(*engine, from, to).span() > 1.0) return "while engine speed moves";  // [rad/s], 10 rpm
  }
  if (const Channel* duty = log.find(ChannelKind::regulator_duty)) {
    if (extent_between(*duty, from, to).span() > 0.02) return "while duty moves";
  }
  return "";
}

void flag_flat(const Log& log, Channel& channel) {
  if (channel.kind != ChannelKind::rail_pressure && channel.kind != ChannelKind::rail_pressure_volts) return;
  for (std::size_t first = 0, next; first < channel.value.size(); first = next) {
    const double value = channel.value[first];
    for (next = first + 1; next < channel.value.size() && channel.value[next] == value; ++next) {
    }
    if (next - first < flat_samples) continue;
    if (value == 0) {
      add_flag(channel, FlagKind::clipped_at_zero, first, next - 1,
               "exactly 0 for " + std::to_string(next - first) +
                   " samples: a negative offset of the sensor would not be seen");
      continue;
    }
    const std::string why = flat_reason(log, channel, channel.time[first], channel.time[next - 1], value);
    if (why.empty()) continue;
    add_flag(channel, FlagKind::substituted, first, next - 1,
             shown(channel, value) + " to the last digit for " + std::to_string(next - first) + " samples " + why +
                 ": likely a substituted value");
  }
}

void flag_impossible(Channel& channel) {
  const ChannelRow& limit = channel_row(channel.kind);
  for (std::size_t i = 0, next; i < channel.value.size(); i = next) {
    next = i + 1;
    const auto beyond = [&](double v) { return v < limit.least || v > limit.most * (1 + 1e-9); };
    if (!beyond(channel.value[i])) continue;
    while (next < channel.value.size() && beyond(channel.value[next])) ++next;
    add_flag(channel, FlagKind::impossible, i, next - 1,
             shown(channel, channel.value[i]) + " is beyond what can be there (" + shown(channel, limit.least) +
                 " to " + shown(channel, limit.most) + ")");
  }
}

// -40 degC is -40 degF: what modules show for a thermometer that is not there (common practice, no source). It is taken
// for a measurement only where other samples are nearly as cold.
void flag_cold_default(const Log& log, Channel& channel) {
  if (channel.quantity != Quantity::temperature || channel.value.empty()) return;
  constexpr double cold = 233.15, near = 0.6, far = 15;  // [K]
  const auto is_default = [&](double value) { return std::fabs(value - cold) < near; };
  std::vector<double> others;
  for (const Channel& any : log.channels) {
    if (any.quantity != Quantity::temperature) continue;
    std::copy_if(any.value.begin(), any.value.end(), std::back_inserter(others),
                 [&](double value) { return !is_default(value); });
  }
  if (!others.empty()) {
    const auto middle = others.begin() + static_cast<long>(others.size() / 2);
    std::nth_element(others.begin(), middle, others.end());
    if (*middle < cold + far) return;
  }
  for (std::size_t i = 0, next; i < channel.value.size(); i = next) {
    next = i + 1;
    if (!is_default(channel.value[i])) continue;
    while (next < channel.value.size() && is_default(channel.value[next])) ++next;
    add_flag(channel, FlagKind::substituted, i, next - 1,
             shown(channel, channel.value[i]) + " in " + std::to_string(next - i) +
                 " samples stands for a thermometer that is not read");
  }
}

void flag_dropouts(Channel& channel) {
  const double interval = steps_of(channel.time).forward;
  for (std::size_t i = 1; interval > 0 && i < channel.time.size(); ++i) {
    const double gap = channel.time[i] - channel.time[i - 1];
    if (gap <= dropout_intervals * interval * (1 + 1e-9)) continue;
    add_flag(channel, FlagKind::dropout, i - 1, i,
             "no sample for " + format_quantity(gap, Quantity::time, "s") + "; usual are " +
                 format_quantity(interval, Quantity::time, "s"));
  }
}

double usual_change(const std::vector<double>& values) {
  std::vector<double> changes;
  for (std::size_t i = 1; i < values.size(); ++i) changes.push_back(std::fabs(values[i] - values[i - 1]));
  if (changes.empty()) return 0;
  const auto middle = changes.begin() + static_cast<long>(changes.size() / 2);
  std::nth_element(changes.begin(), middle, changes.end());
  return *middle;
}

void flag_spikes(Channel& channel) {
  const std::vector<double>& v = channel.value;
  const std::vector<bool> out = left_out(channel);
  const double noise = spike_over_noise * usual_change(v), floor = channel_row(channel.kind).wild;
  for (std::size_t i = 1; i + 1 < v.size(); ++i) {
    const double rise = v[i] - v[i - 1], fall = v[i] - v[i + 1];
    if (rise * fall <= 0) continue;
    const double height = std::min(std::fabs(rise), std::fabs(fall));
    const double needed =
        std::max({noise, floor, spike_over_value * std::fabs(v[i - 1]), 5 * std::fabs(v[i + 1] - v[i - 1])});
    if (height <= needed || out[i]) continue;
    add_flag(channel, FlagKind::spike, i, i,
             shown(channel, v[i]) + " stands alone between " + shown(channel, v[i - 1]) + " and " +
                 shown(channel, v[i + 1]));
  }
}

}  // namespace

void add_flags(Log& log) {
  for (Channel& channel : log.channels) {
    flag_flat(log, channel);
    flag_impossible(channel);
    flag_cold_default(log, channel);
    flag_dropouts(channel);
    flag_spikes(channel);
  }
}

double smallest_step(const Channel& channel) {
  constexpr std::size_t enough = 100000;  // samples
  const std::vector<bool> out = left_out(channel);
  std::vector<double> values;
  for (std::size_t i = 0; i < channel.value.size() && values.size() < enough; ++i) {
    if (!out[i]) values.push_back(channel.value[i]);
  }
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const double rounding = 1e-9 * std::fmax(std::fabs(values.front()), std::fabs(values.back()));
  double smallest = 0;
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double step = values[i] - values[i - 1];
    if (step > rounding && (smallest == 0 || step < smallest)) smallest = step;
  }
  return smallest;
}

}  // namespace railseep
