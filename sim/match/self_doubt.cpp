#include "match/self_doubt.hpp"

#include <cmath>

namespace railseep {

namespace {

constexpr double long_tail = 3;  // ln evidence up to which it is nearly believed
constexpr double power = 0.7;    // an interval of a normal posterior becomes 1.2 times as wide

}  // namespace

double tempered_log_odds(double behind) { return long_tail * std::log1p(behind / long_tail); }

double tempered_log_density(double log_density, double at) {
  const double prior = -0.5 * at * at;
  return prior + power * (log_density - prior);
}

std::vector<double> mixed_with_prior(std::vector<double> told, const std::vector<double>& untold, double share) {
  for (std::size_t i = 0; i < told.size(); ++i) told[i] += share * (untold[i] - told[i]);
  return told;
}

}  // namespace railseep
