#include "match/severity_posterior.hpp"

#include <math.h>  // first: Boost 1.74's pchip looks for isnan outside namespace std

#include <algorithm>
#include <boost/math/interpolators/pchip.hpp>
#include <cmath>
#include <numbers>

#include "match/self_doubt.hpp"

namespace railseep {

namespace {

constexpr int cells = 600;
constexpr double same = 1e-9;           // points nearer than this are one
constexpr std::size_t fewest_points = 4;  // of the cubic

/// Probability of a standard normal below x.
double normal_below(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

/// More points on the straight lines between those there are, until a cubic can be laid through them.
void fill_up(std::vector<double>& x, std::vector<double>& y) {
  if (x.size() == 1) x.push_back(x[0] + 1e-6), y.push_back(y[0]);
  while (x.size() < fewest_points)
    for (std::size_t i = x.size() - 1; i > 0; --i) {
      x.insert(x.begin() + static_cast<std::ptrdiff_t>(i), 0.5 * (x[i - 1] + x[i]));
      y.insert(y.begin() + static_cast<std::ptrdiff_t>(i), 0.5 * (y[i - 1] + y[i]));
    }
}

}  // namespace

SeverityPosterior::SeverityPosterior(double best, double deviation, double least, double most) : SeverityPosterior(least, most) {
  for (int i = -8; i <= 8; ++i) {
    const double far = 0.5 * i, at = std::clamp(best + far * deviation, least, most);
    add(at, -0.5 * std::pow((at - best) / deviation, 2));
  }
}

void SeverityPosterior::add(double at, double log_density) {
  const auto place = std::lower_bound(at_.begin(), at_.end(), at - same) - at_.begin();
  if (place < std::ssize(at_) && std::abs(at_[static_cast<std::size_t>(place)] - at) < same) return;
  at_.insert(at_.begin() + place, at);
  log_density_.insert(log_density_.begin() + place, log_density);
}

std::vector<double> SeverityPosterior::finer_points() const {
  const auto highest = static_cast<std::size_t>(std::ranges::max_element(log_density_) - log_density_.begin());
  std::vector<double> all;
  if (highest > 0) all.push_back(0.5 * (at_[highest - 1] + at_[highest]));
  if (highest + 1 < at_.size()) all.push_back(0.5 * (at_[highest] + at_[highest + 1]));
  return all;
}

SeverityPosterior::Table SeverityPosterior::table() const {
  std::vector<double> x = at_, y = log_density_;
  fill_up(x, y);
  const double low = x.front(), high = x.back();
  const boost::math::interpolators::pchip<std::vector<double>> cubic(std::move(x), std::move(y));
  Table table;
  for (int i = 0; i <= cells; ++i) {
    const double at = i == cells ? high : low + (high - low) * i / cells;
    table.at.push_back(at), table.log_density.push_back(cubic(at));
  }
  return table;
}

double SeverityPosterior::mode() const {
  const Table fine = table();
  return fine.at[static_cast<std::size_t>(std::ranges::max_element(fine.log_density) - fine.log_density.begin())];
}

double SeverityPosterior::log_integral() const {
  const Table fine = table();
  const double highest = *std::ranges::max_element(fine.log_density);
  double sum = 0;
  for (std::size_t i = 1; i < fine.at.size(); ++i)
    sum += 0.5 * (fine.at[i] - fine.at[i - 1]) * (std::exp(fine.log_density[i - 1] - highest) + std::exp(fine.log_density[i] - highest));
  const double in_bounds = normal_below(most_) - normal_below(least_);
  return highest + std::log(sum / std::sqrt(2 * std::numbers::pi) / in_bounds);
}

Severity SeverityPosterior::severity(const Unknown& unknown, bool doubted) const {
  Table fine = table();
  for (std::size_t i = 0; doubted && i < fine.at.size(); ++i) fine.log_density[i] = believed_log_density(fine.log_density[i], fine.at[i]);
  const double highest = *std::ranges::max_element(fine.log_density);
  Severity result;
  result.best = unknown.value(mode());
  double sum = 0;
  for (std::size_t i = 0; i < fine.at.size(); ++i) {
    if (i > 0) sum += 0.5 * (fine.at[i] - fine.at[i - 1]) * (std::exp(fine.log_density[i - 1] - highest) + std::exp(fine.log_density[i] - highest));
    result.value.push_back(unknown.value(fine.at[i]));
    result.cumulative.push_back(sum);
  }
  for (double& share : result.cumulative) share /= sum;
  result.low = result.quantile(0.05), result.high = result.quantile(0.95);
  return result;
}

}  // namespace railseep
