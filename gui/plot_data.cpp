#include <algorithm>
#include <cmath>
#include <cstdio>

#include "plot.hpp"

namespace railseep::gui {

void TimeAxis::cover(double begin, double end) {
  const bool whole = from <= first && to >= last;
  first = begin, last = std::max(end, begin + 1e-3);
  if (whole || from >= last) fit();
}

void TimeAxis::zoom(double factor, double around) {
  const double full = last - first;
  const double span = std::clamp((to - from) * factor, std::min(0.01, full), full);
  from = std::clamp(around - (around - from) * span / (to - from), first, last - span);
  to = from + span;
}

void TimeAxis::pan(double by) {
  const double span = to - from;
  from = std::clamp(from + by, first, std::max(first, last - span));
  to = from + span;
}

std::vector<Sample> thinned(std::span<const double> time, std::span<const double> value, double from, double to,
                            int columns) {
  std::vector<Sample> kept;
  if (time.empty() || columns < 1) return kept;
  // One sample beyond each end, so that lines run into the frame.
  std::size_t i = std::lower_bound(time.begin(), time.end(), from) - time.begin();
  std::size_t end = std::upper_bound(time.begin(), time.end(), to) - time.begin();
  if (i > 0) --i;
  if (end < time.size()) ++end;
  if (end - i <= 4 * static_cast<std::size_t>(columns)) {
    for (; i < end; ++i) kept.push_back({time[i], value[i]});
    return kept;
  }
  const double width = (to - from) / columns;
  while (i < end) {
    const double column = std::floor((time[i] - from) / width);
    std::size_t first = i, low = i, high = i, last = i;
    for (; i < end && std::floor((time[i] - from) / width) == column; last = i++) {
      if (value[i] < value[low]) low = i;
      if (value[i] > value[high]) high = i;
    }
    std::size_t order[] = {first, std::min(low, high), std::max(low, high), last};
    for (std::size_t k = 0; k < 4; ++k)
      if (k == 0 || order[k] != order[k - 1]) kept.push_back({time[order[k]], value[order[k]]});
  }
  return kept;
}

Corners corners_of(const Profile& signal) {
  Corners all{signal.corners(), {}};
  for (const double t : all.time) all.value.push_back(signal.at(t));
  return all;
}

std::optional<double> value_at(std::span<const double> time, std::span<const double> value, double t) {
  if (time.empty() || t < time.front() || t > time.back()) return std::nullopt;
  const std::size_t i = std::lower_bound(time.begin(), time.end(), t) - time.begin();
  if (i == 0 || time[i] == time[i - 1]) return value[i];
  const double share = (t - time[i - 1]) / (time[i] - time[i - 1]);
  return value[i - 1] + share * (value[i] - value[i - 1]);
}

std::vector<double> ticks(double low, double high, int about) {
  std::vector<double> all;
  if (!(high > low) || about < 1) return all;
  const double rough = (high - low) / about, decade = std::pow(10, std::floor(std::log10(rough)));
  const double share = rough / decade, step = decade * (share > 7 ? 10 : share > 3 ? 5 : share > 1.4 ? 2 : 1);
  for (double k = std::ceil(low / step - 1e-9) + 0.0; k * step <= high + 1e-9 * step; ++k)
    all.push_back(k * step + 0.0);
  return all;
}

std::string tick_text(double value, const std::vector<double>& all) {
  const double step = all.size() > 1 ? all[1] - all[0] : std::abs(value);
  const int decimals = step > 0 ? std::clamp(-static_cast<int>(std::floor(std::log10(step) + 1e-9)), 0, 6) : 0;
  char text[40];
  std::snprintf(text, sizeof text, "%.*f", decimals, std::abs(value) < 1e-9 * step ? 0 : value);
  return text;
}

std::string series_csv(const Picture& picture, const ShownUnits& units) {
  std::string text = "series,time [s]," + picture.title + " [" + std::string(units.unit(picture.quantity)) + "]\n";
  for (const Series& series : picture.series)
    for (std::size_t i = 0; i < series.time.size(); ++i)
      text += "\"" + series.name + "\"," + plain_number(series.time[i], 7) + "," +
              plain_number(units.number(series.value[i], picture.quantity), 7) + "\n";
  return text;
}

}  // namespace railseep::gui
