#include "match/severity_posterior.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace railseep {

namespace {

constexpr int cells = 240;
constexpr double reach = 6;  // deviations to either side that hold all the probability

/// Probability of a standard normal below x.
double normal_below(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

}  // namespace

SeverityPosterior::SeverityPosterior(double best, double deviation, double least, double most)
    : best_(best), deviation_(deviation), least_(least), most_(most), at_{best}, correction_{0} {}

std::vector<double> SeverityPosterior::points() const {
  std::vector<double> all;
  for (const double far : {-3.2, -2.0, -1.0, 1.0, 2.0, 3.2}) {
    const double at = std::clamp(best_ + far * deviation_, least_, most_);
    if (std::abs(at - best_) > 0.2 * deviation_ && (all.empty() || std::abs(at - all.back()) > 0.2 * deviation_)) all.push_back(at);
  }
  return all;
}

std::vector<double> SeverityPosterior::finer_points() const {
  std::size_t highest = 0;
  for (std::size_t i = 1; i < at_.size(); ++i)
    if (log_density(at_[i]) > log_density(at_[highest])) highest = i;
  std::vector<double> all;
  if (highest > 0) all.push_back(0.5 * (at_[highest - 1] + at_[highest]));
  if (highest + 1 < at_.size()) all.push_back(0.5 * (at_[highest] + at_[highest + 1]));
  return all;
}

double SeverityPosterior::mode() const {
  double best = best_;
  for (const double u : grid())
    if (log_density(u) > log_density(best) + 1e-3) best = u;
  return best;
}

void SeverityPosterior::add(double at, double beyond) {
  const double parabola = -0.5 * std::pow((at - best_) / deviation_, 2);
  const auto place = std::upper_bound(at_.begin(), at_.end(), at) - at_.begin();
  at_.insert(at_.begin() + place, at);
  correction_.insert(correction_.begin() + place, beyond - parabola);
}

double SeverityPosterior::log_density(double u) const {
  const auto after = std::upper_bound(at_.begin(), at_.end(), u);
  double correction;
  if (after == at_.begin()) correction = correction_.front();
  else if (after == at_.end()) correction = correction_.back();
  else {
    const auto i = static_cast<std::size_t>(after - at_.begin());
    correction = correction_[i - 1] + (u - at_[i - 1]) / (at_[i] - at_[i - 1]) * (correction_[i] - correction_[i - 1]);
  }
  return -0.5 * std::pow((u - best_) / deviation_, 2) + correction;
}

std::vector<double> SeverityPosterior::grid() const {
  const double low = std::max(least_, best_ - reach * deviation_), high = std::min(most_, best_ + reach * deviation_);
  std::vector<double> all(cells + 1);
  for (int i = 0; i <= cells; ++i) all[static_cast<std::size_t>(i)] = low + (high - low) * i / cells;
  return all;
}

double SeverityPosterior::log_integral() const {
  const std::vector<double> u = grid();
  double sum = 0;
  for (std::size_t i = 1; i < u.size(); ++i) sum += 0.5 * (u[i] - u[i - 1]) * (std::exp(log_density(u[i - 1])) + std::exp(log_density(u[i])));
  const double in_bounds = normal_below(most_) - normal_below(least_);
  return std::log(sum / std::sqrt(2 * std::numbers::pi) / in_bounds);
}

Severity SeverityPosterior::severity(const Unknown& unknown) const {
  const std::vector<double> u = grid();
  Severity result;
  result.best = unknown.value(mode());
  double sum = 0;
  for (std::size_t i = 0; i < u.size(); ++i) {
    if (i > 0) sum += 0.5 * (u[i] - u[i - 1]) * (std::exp(log_density(u[i - 1])) + std::exp(log_density(u[i])));
    result.value.push_back(unknown.value(u[i]));
    result.cumulative.push_back(sum);
  }
  for (double& share : result.cumulative) share /= sum;
  result.low = result.quantile(0.05), result.high = result.quantile(0.95);
  return result;
}

}  // namespace railseep
