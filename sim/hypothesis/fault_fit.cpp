#include "hypothesis/fault_fit.hpp"

#include <algorithm>

namespace railseep {

namespace {

/// y at x, by straight lines, constant beyond the ends.
double between(const std::vector<double>& xs, const std::vector<double>& ys, double x) {
  const auto after = std::upper_bound(xs.begin(), xs.end(), x);
  if (after == xs.begin()) return ys.front();
  if (after == xs.end()) return ys.back();
  const auto i = static_cast<std::size_t>(after - xs.begin());
  return ys[i - 1] + (x - xs[i - 1]) / (xs[i] - xs[i - 1]) * (ys[i] - ys[i - 1]);
}

}  // namespace

double Severity::cdf(double si) const { return between(value, cumulative, si); }
double Severity::quantile(double share) const { return between(cumulative, value, share); }

std::vector<Fault> FaultFit::faults() const {
  std::vector<double> best;
  for (const Severity& severity : severities) best.push_back(severity.best);
  return candidate.faults(best);
}

}  // namespace railseep
