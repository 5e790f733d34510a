#include "evidence/condense_log.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <numeric>

#include "quantity/quantity.hpp"

namespace railseep {

namespace {

// All assumed: small against what a match can tell apart.
constexpr double pressure_bend = 0.3;                                      // of the noise of one sample
constexpr double duty_bend = 0.01, speed_bend = 0.02, voltage_bend = 0.2;  // [-], of the highest speed [-], [V]
constexpr double corner_share = 0.25;  // of these, within which a signal's corners are left out
constexpr double surely = 3;           // standard deviations that noise may bend a stretch by
constexpr double unbent =
    0.45;  // share of the stretches that are left where nothing bends; twice as many with dropouts between them
constexpr std::size_t around = 3;  // samples on either side that judge one
constexpr double far_off = 5;      // of their scatter, beside `far_off_noise` standard deviations of noise
constexpr double far_off_noise = 8;

/// A median's distance to standard deviation of a normal.
constexpr double of_median = 1.4826;

double median(std::vector<double>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// How far values scatter about the straight line between their neighbours, as one standard deviation.
double scatter_of(const std::vector<double>& time, const std::vector<double>& value) {
  std::vector<double> bends;
  for (std::size_t i = 1; i + 1 < time.size(); ++i) {
    const double share = (time[i] - time[i - 1]) / (time[i + 1] - time[i - 1]);
    const double line = value[i - 1] + share * (value[i + 1] - value[i - 1]);
    bends.push_back(std::abs(value[i] - line) / std::sqrt(1 + share * share + (1 - share) * (1 - share)));
  }
  return bends.empty() ? 0 : of_median * median(bends);
}

std::vector<double> values_at_corners(const Profile& profile) {
  std::vector<double> values;
  for (const double t : profile.corners()) values.push_back(profile.at(t));
  return values;
}

/// Samples that no others near them agree with, by the Hampel identifier.
std::vector<bool> wild_samples(const std::vector<double>& value, double noise) {
  std::vector<bool> wild(value.size(), false);
  std::vector<double> window;
  for (std::size_t i = around; i + around < value.size(); ++i) {
    window.assign(value.begin() + static_cast<std::ptrdiff_t>(i - around),
                  value.begin() + static_cast<std::ptrdiff_t>(i + around + 1));
    const double middle = median(window);
    for (double& one : window) one = std::abs(one - middle);
    wild[i] = std::abs(value[i] - middle) > far_off * of_median * median(window) + far_off_noise * noise;
  }
  return wild;
}

/// Samples in the order of time with their running sums, so that the mean of any stretch takes two look-ups.
class Signal {
 public:
  Signal(std::vector<double> time, std::vector<double> value, double tolerance, double noise)
      : time_(std::move(time)),
        value_(std::move(value)),
        tolerance_(tolerance),
        variance_(noise * noise),
        time_sum_(1, 0),
        value_sum_(1, 0),
        news_(1, 0) {
    for (std::size_t i = 0; i < time_.size(); ++i) {
      time_sum_.push_back(time_sum_.back() + time_[i]), value_sum_.push_back(value_sum_.back() + value_[i]);
      news_.push_back(news_.back() + (i > 0 && value_[i] != value_[i - 1]));
    }
  }

  struct Mean {
    double time = 0, value = 0, count = 0;
    double samples = 0;  // that differ from the one before, and the first
  };
  /// Of the samples in [from, to).
  Mean mean(double from, double to) const {
    const std::size_t first = at(from), last = at(to);
    if (first == last) return {};
    if (first + 1 == last) return {time_[first], value_[first], 1, 1};
    const auto count = static_cast<double>(last - first);
    return {(time_sum_[last] - time_sum_[first]) / count, (value_sum_[last] - value_sum_[first]) / count, count,
            1.0 + static_cast<double>(news_[last] - news_[first + 1])};
  }

  /// How far the middle third of a stretch lies off the line through the outer two, beyond what noise makes of it.
  /// About as far off is its mean from the curve (0.75 times as far for a parabola, as far for a corner in the middle).
  double bend(double from, double to) const {
    const double third = (to - from) / 3;
    const std::array<Mean, 3> part{mean(from, from + third), mean(from + third, to - third), mean(to - third, to)};
    for (const Mean& one : part)
      if (one.count == 0) return 0;
    const double share = (part[1].time - part[0].time) / (part[2].time - part[0].time);
    const double line = part[0].value + share * (part[2].value - part[0].value);
    const double noise = std::sqrt(
        variance_ * (1 / part[1].count + (1 - share) * (1 - share) / part[0].count + share * share / part[2].count));
    return std::max(0.0, std::abs(part[1].value - line) - surely * noise);
  }
  double tolerance() const { return tolerance_; }

 private:
  std::size_t at(double t) const {
    return static_cast<std::size_t>(std::ranges::lower_bound(time_, t) - time_.begin());
  }

  std::vector<double> time_, value_;
  double tolerance_, variance_;
  std::vector<double> time_sum_, value_sum_;
  std::vector<std::size_t> news_;
};

/// Ends of stretches, cut by bisection where a signal bends by more than so many times its tolerance.
class Bisection {
 public:
  Bisection(const std::vector<Signal>& signals, double times) : signals_(signals), times_(times) {}

  void cut(double from, double to, std::vector<double>& ends) const {
    const bool bends = std::ranges::any_of(
        signals_, [&](const Signal& signal) { return signal.bend(from, to) > times_ * signal.tolerance(); });
    const double middle = 0.5 * (from + to);
    if (bends && middle > from && middle < to)
      cut(from, middle, ends), cut(middle, to, ends);
    else
      ends.push_back(to);
  }

 private:
  const std::vector<Signal>& signals_;
  double times_;
};

/// Where the log is whole: from and to between dropouts longer than so much.
std::vector<std::pair<double, double>> whole_parts(const std::vector<double>& time, double dropout) {
  std::vector<std::pair<double, double>> parts;
  double from = time.front();
  for (std::size_t i = 1; i <= time.size(); ++i) {
    if (i < time.size() && time[i] - time[i - 1] <= dropout) continue;
    const double last = time[i - 1];
    parts.emplace_back(from, std::nextafter(last, INFINITY));
    if (i < time.size()) from = time[i];
  }
  return parts;
}

/// Ends of the stretches of a log, the first entry its beginning.
std::vector<double> stretches(const std::vector<double>& time, const std::vector<Signal>& signals, double width) {
  std::vector<double> ends;
  const auto cut = [&](double times) {
    ends.assign(1, time.front());
    for (const auto& [from, to] : whole_parts(time, width)) {
      if (from > ends.back()) ends.push_back(from);
      const double count = std::ceil((to - from) / width);
      for (double i = 0; i < count; ++i)
        Bisection(signals, times)
            .cut(from + i * (to - from) / count, i + 1 < count ? from + (i + 1) * (to - from) / count : to, ends);
    }
  };
  double times = 1;
  for (cut(times); ends.size() > stretches_kept; cut(times)) times *= 2;
  return ends;
}

/// The fewest of these points whose line all others lie within a tolerance of (Ramer-Douglas-Peucker).
Profile with_fewest_corners(const std::vector<double>& time, const std::vector<double>& value, double tolerance) {
  std::vector<bool> kept(time.size(), false);
  kept.front() = kept.back() = true;
  std::vector<std::pair<std::size_t, std::size_t>> open{{0, time.size() - 1}};
  while (!open.empty()) {
    const auto [first, last] = open.back();
    open.pop_back();
    double most = tolerance;
    std::size_t furthest = 0;
    for (std::size_t i = first + 1; i < last; ++i) {
      const double line =
          value[first] + (value[last] - value[first]) * (time[i] - time[first]) / (time[last] - time[first]);
      if (std::abs(value[i] - line) > most) most = std::abs(value[i] - line), furthest = i;
    }
    if (furthest == 0) continue;
    kept[furthest] = true;
    open.emplace_back(first, furthest), open.emplace_back(furthest, last);
  }
  std::vector<double> corner, at;
  for (std::size_t i = 0; i < time.size(); ++i)
    if (kept[i]) corner.push_back(time[i]), at.push_back(value[i]);
  return {corner, at};
}

/// A signal through the means of its stretches; near a bend, where they are shorter than a whole one, through those of
/// both halves, so that it cuts off less of a corner.
Profile through_means(const Signal& signal, const std::vector<double>& ends, double width, double tolerance) {
  std::vector<double> time, value;
  const auto take = [&](double from, double to) {
    const Signal::Mean mean = signal.mean(from, to);
    if (mean.count > 0) time.push_back(mean.time), value.push_back(mean.value);
  };
  take(-INFINITY, ends.front());
  for (std::size_t i = 1; i < ends.size(); ++i) {
    const double middle = ends[i] - ends[i - 1] < 0.6 * width ? 0.5 * (ends[i - 1] + ends[i]) : ends[i];
    take(ends[i - 1], middle), take(middle, ends[i]);
  }
  take(ends.back(), INFINITY);
  return with_fewest_corners(time, value, tolerance);
}

std::string seconds(double t) { return format_quantity(t, Quantity::time, "s", 2); }

void leave_out_wild(CrankEvidence& evidence, double noise) {
  const std::vector<bool> wild = wild_samples(evidence.measured, noise);
  const auto count = std::ranges::count(wild, true);
  if (count == 0) return;
  std::vector<double> time, measured;
  for (std::size_t i = 0; i < wild.size(); ++i)
    if (!wild[i]) time.push_back(evidence.time[i]), measured.push_back(evidence.measured[i]);
  evidence.time = std::move(time), evidence.measured = std::move(measured);
  evidence.notes.push_back(std::to_string(count) + (count == 1 ? " pressure lies" : " pressures lie") +
                           " far off those just before and after and " + (count == 1 ? "is" : "are") + " left out");
}

}  // namespace

void condense(CrankEvidence& evidence, const NoiseModel& noise, double resolution) {
  const std::size_t logged = evidence.time.size();
  if (logged <= samples_kept) return;
  evidence.averages.scatter = scatter(evidence);
  const double sample_noise = std::fmax(noise.noise, evidence.averages.scatter);
  leave_out_wild(evidence, sample_noise);

  // What drives the model, where it is more than one number.
  std::vector<Profile*> drive{&evidence.condition.speed, &evidence.condition.battery};
  if (evidence.duty) drive.push_back(&*evidence.duty);
  std::vector<Signal> signals{{evidence.time, evidence.measured, pressure_bend * noise.noise,
                               std::hypot(scatter_of(evidence.time, evidence.measured), resolution / std::sqrt(12.0))}};
  for (const Profile* profile : drive) {
    std::vector<double> values = values_at_corners(*profile);
    double tolerance = duty_bend;
    if (profile == &evidence.condition.speed) tolerance = speed_bend * std::ranges::max(values);
    if (profile == &evidence.condition.battery) tolerance = voltage_bend;
    const double scatter_here = scatter_of(profile->corners(), values);
    signals.push_back({profile->corners(), std::move(values), tolerance, scatter_here});
  }

  const double width = std::max(stretch_of_memory * noise.memory, (evidence.time.back() - evidence.time.front()) /
                                                                      (unbent * static_cast<double>(stretches_kept)));
  const std::vector<double> ends = stretches(evidence.time, signals, width);
  std::vector<double> time, measured;
  for (std::size_t i = 1; i < ends.size(); ++i) {
    const Signal::Mean mean = signals.front().mean(ends[i - 1], ends[i]);
    if (mean.count == 0) continue;
    time.push_back(mean.time), measured.push_back(mean.value);
    evidence.averages.samples.push_back(mean.samples);
    evidence.averages.bend.push_back(signals.front().bend(ends[i - 1], ends[i]));
  }
  for (std::size_t i = 0; i < drive.size(); ++i)
    *drive[i] = through_means(signals[i + 1], ends, width, corner_share * signals[i + 1].tolerance());
  evidence.time = std::move(time), evidence.measured = std::move(measured);
  evidence.notes.push_back(
      std::to_string(logged) + " pressures are averaged to " + std::to_string(evidence.time.size()) +
      ", each over a stretch of at most " + seconds(width) +
      " in which pressure, speed, duty and battery voltage run straight; these signals drive the model by their means");
}

}  // namespace railseep
