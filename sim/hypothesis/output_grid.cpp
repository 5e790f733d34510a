#include "hypothesis/output_grid.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

constexpr double finest = 0.02;   // [s]
constexpr double per_sample = 4;  // times kept from one mean to the next

/// How many finest steps may be one at each of them: as many as the samples near there allow.
std::vector<double> longest_steps(const CrankEvidence& log, double reach, std::size_t count) {
  std::vector<double> longest(count, log.averages.empty() ? 1 : INFINITY);
  if (log.averages.empty()) return longest;
  for (std::size_t i = 0; i + 1 < log.time.size(); ++i) {
    const double gap = log.time[i + 1] - log.time[i], step = std::max(1.0, std::floor(gap / per_sample / finest));
    const auto cell = [&](double t) { return std::min(count, static_cast<std::size_t>(std::max(0.0, t / finest))); };
    const std::size_t to = std::min(count, cell(log.time[i + 1] + reach) + 1);
    for (std::size_t k = cell(log.time[i] - reach); k < to; ++k) longest[k] = std::min(longest[k], step);
  }
  return longest;
}

}  // namespace

OutputGrid::OutputGrid(const CrankEvidence& log, double reach) : duration_(log.duration + reach + finest) {
  auto count = static_cast<std::size_t>(duration_ / finest);
  if (static_cast<double>(count) * finest > duration_) --count;  // rounding
  const std::vector<double> longest = longest_steps(log, reach, count);
  for (std::size_t at = 0; at < count;) {
    std::size_t end = at + 1;
    double allowed = longest[at];
    while (end < count && static_cast<double>(end - at) < std::min(allowed, longest[end]))
      allowed = std::min(allowed, longest[end++]);
    first_.push_back(at);
    interval_.insert(interval_.end(), end - at, first_.size() - 1);
    at = end;
  }
  first_.push_back(count);
  for (const std::size_t at : first_) times_.push_back(static_cast<double>(at) * finest);
}

double OutputGrid::read(const std::vector<double>& kept, double t) const {
  const double at = std::max(0.0, t) / finest;
  const std::size_t k = interval_[std::min(static_cast<std::size_t>(at), interval_.size() - 1)];
  const double share = (at - static_cast<double>(first_[k])) / static_cast<double>(first_[k + 1] - first_[k]);
  return kept[k] + share * (kept[k + 1] - kept[k]);
}

}  // namespace railseep
