#include "match/tails.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

/// Density of a wild sample over that of a good one, times its odds; without overflow for large r.
double log_odds(const Tails& tails, double r) {
  return std::log(tails.wild / ((1 - tails.wild) * tails.width)) + 0.5 * r * r * (1 - 1 / (tails.width * tails.width));
}

}  // namespace

double Tails::loss(double r) const {
  if (wild <= 0) return 0.5 * r * r;
  const double odds = log_odds(*this, r);
  // ln(1 + e^x) = max(x, 0) + ln(1 + e^-|x|)
  return 0.5 * r * r - std::log(1 - wild) - std::max(odds, 0.0) - std::log1p(std::exp(-std::abs(odds)));
}

double Tails::weight(double r) const {
  if (wild <= 0) return 1;
  const double share = 1 / (1 + std::exp(-log_odds(*this, r)));  // probability that it is wild
  return 1 - share * (1 - 1 / (width * width));
}

double Tails::loss(const Eigen::VectorXd& r) const {
  double sum = 0;
  for (const double entry : r) sum += loss(entry);
  return sum;
}

Eigen::VectorXd Tails::weights(const Eigen::VectorXd& r) const {
  return r.unaryExpr([this](double entry) { return weight(entry); });
}

}  // namespace railseep
