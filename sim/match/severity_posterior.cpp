#include "match/severity_posterior.hpp"

#include <math.h>  // first: Boost 1.74's pchip looks for isnan outside namespace std

#include <algorithm>
#include <boost/math/interpolators/pchip.hpp>
#include <cmath>
#include <functional>
#include <numbers>

#include "match/self_doubt.hpp"
#include "quantity/normal.hpp"

namespace railseep {

namespace {

constexpr int cells = 600, cells_beyond = 60;
constexpr double same = 1e-9;             // points nearer than this are one
constexpr std::size_t fewest_points = 4;  // of the cubic

/// More points on the straight lines between those there are, until a cubic can be laid through them.
void fill_up(std::vector<double>& x, std::vector<double>& y) {
  if (x.size() == 1) x.push_back(x[0] + 1e-6), y.push_back(y[0]);
  while (x.size() < fewest_points)
    for (std::size_t i = x.size() - 1; i > 0; --i) {
      x.insert(x.begin() + static_cast<std::ptrdiff_t>(i), 0.5 * (x[i - 1] + x[i]));
      y.insert(y.begin() + static_cast<std::ptrdiff_t>(i), 0.5 * (y[i - 1] + y[i]));
    }
}

/// Values between the points, at evenly spaced places.
std::vector<double> interpolated(std::vector<double> x, std::vector<double> y, const std::vector<double>& places) {
  fill_up(x, y);
  const boost::math::interpolators::pchip<std::vector<double>> cubic(std::move(x), std::move(y));
  std::vector<double> all;
  for (const double place : places) all.push_back(cubic(place));
  return all;
}

std::vector<double> sum_of(std::vector<double> a, const std::vector<double>& b) {
  std::ranges::transform(a, b, a.begin(), std::plus{});
  return a;
}

/// Area below each point, over that of a highest density of 1 all along.
std::vector<double> areas(const std::vector<double>& at, const std::vector<double>& log_density) {
  const double highest = *std::ranges::max_element(log_density);
  std::vector<double> sums{0};
  for (std::size_t i = 1; i < at.size(); ++i)
    sums.push_back(sums.back() + 0.5 * (at[i] - at[i - 1]) *
                                     (std::exp(log_density[i - 1] - highest) + std::exp(log_density[i] - highest)));
  return sums;
}

/// The middle 90 %; where the best value lies outside of it, the 90 % that begin or end with that value.
void set_interval(Severity& severity) {
  constexpr double share = 0.9, tail = 0.5 * (1 - share);
  const double below_best = severity.cdf(severity.best);
  const double from = std::clamp(tail, below_best - share, below_best);
  severity.low = std::min(severity.best, severity.quantile(from));
  severity.high = std::max(severity.best, severity.quantile(from + share));
}

/// Probability below each point.
std::vector<double> below(const std::vector<double>& at, const std::vector<double>& log_density) {
  std::vector<double> shares = areas(at, log_density);
  const double all = shares.back();
  for (double& share : shares) share /= all;
  return shares;
}

}  // namespace

SeverityPosterior::SeverityPosterior(double best, double deviation, double least, double most)
    : SeverityPosterior(least, most) {
  for (int i = -8; i <= 8; ++i) {
    const double far = 0.5 * i, at = std::clamp(best + far * deviation, least, most);
    add(at, -0.5 * std::pow((at - best) / deviation, 2));
  }
}

void SeverityPosterior::add(double at, double of_logs, double beside) {
  const auto place = std::lower_bound(at_.begin(), at_.end(), at - same) - at_.begin();
  if (place < std::ssize(at_) && std::abs(at_[static_cast<std::size_t>(place)] - at) < same) return;
  at_.insert(at_.begin() + place, at);
  of_logs_.insert(of_logs_.begin() + place, of_logs);
  beside_.insert(beside_.begin() + place, beside);
}

std::vector<double> SeverityPosterior::finer_points() const {
  const std::vector<double> density = sum_of(of_logs_, beside_);
  const auto highest = static_cast<std::size_t>(std::ranges::max_element(density) - density.begin());
  std::vector<double> all;
  if (highest > 0) all.push_back(0.5 * (at_[highest - 1] + at_[highest]));
  if (highest + 1 < at_.size()) all.push_back(0.5 * (at_[highest] + at_[highest + 1]));
  return all;
}

SeverityPosterior::Table SeverityPosterior::table() const {
  Table table;
  const double low = at_.front(), high = at_.size() > 1 ? at_.back() : low + 1e-6;
  for (int i = 0; i <= cells; ++i) table.at.push_back(i == cells ? high : low + (high - low) * i / cells);
  table.of_logs = interpolated(at_, of_logs_, table.at);
  table.beside = interpolated(at_, beside_, table.at);
  return table;
}

double SeverityPosterior::mode() const {
  const Table fine = table();
  const std::vector<double> density = sum_of(fine.of_logs, fine.beside);
  return fine.at[static_cast<std::size_t>(std::ranges::max_element(density) - density.begin())];
}

double SeverityPosterior::log_integral(const std::vector<double>& at, const std::vector<double>& log_density) const {
  const double in_bounds = normal_below(most_) - normal_below(least_);
  return *std::ranges::max_element(log_density) +
         std::log(areas(at, log_density).back() / std::sqrt(2 * std::numbers::pi) / in_bounds);
}

double SeverityPosterior::log_integral() const {
  const Table fine = table();
  return log_integral(fine.at, sum_of(fine.of_logs, fine.beside));
}

double SeverityPosterior::log_integral_of_logs() const {
  const Table fine = table();
  return log_integral(fine.at, fine.of_logs);
}

/// Where the logs mislead the severity may lie anywhere between the bounds, as far as all else allows.
void SeverityPosterior::mix_in_prior(Table& fine, std::vector<double>& cumulative) const {
  std::vector<double> at, told, untold;
  const auto add = [&](double here, double share, double beside) {
    at.push_back(here), told.push_back(share), untold.push_back(-0.5 * here * here + beside);
  };
  const double low = fine.at.front(), high = fine.at.back();
  for (int i = 0; i < cells_beyond && least_ < low; ++i)
    add(least_ + (low - least_) * i / cells_beyond, 0, fine.beside.front());
  for (std::size_t i = 0; i < fine.at.size(); ++i) add(fine.at[i], cumulative[i], fine.beside[i]);
  for (int i = 1; i <= cells_beyond && most_ > high; ++i)
    add(high + (most_ - high) * i / cells_beyond, 1, fine.beside.back());
  cumulative = mixed_with_prior(std::move(told), below(at, untold));
  fine.at = std::move(at);
}

Severity SeverityPosterior::severity(const Unknown& unknown, bool doubted) const {
  Table fine = table();
  if (doubted) std::ranges::transform(fine.of_logs, fine.at, fine.of_logs.begin(), tempered_log_density);
  Severity result;
  result.best = unknown.value(mode());
  result.cumulative = below(fine.at, sum_of(fine.of_logs, fine.beside));
  if (doubted) mix_in_prior(fine, result.cumulative);
  for (const double at : fine.at) result.value.push_back(unknown.value(at));
  set_interval(result);
  return result;
}

}  // namespace railseep
