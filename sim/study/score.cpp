#include "study/score.hpp"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>

#include "circuit/faults.hpp"
#include "study/median.hpp"

namespace railseep {

namespace {

constexpr double tail = 0.025;  // of a 95 % interval, either side
const std::vector<double> edges{0, 0.01, 0.03, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 1.0000001};

struct Prediction {
  double probability;
  bool came_true;
};

/// Weighted by probability: else the many candidates that nobody believes in would drown those that are acted on.
Reliability reliability(const std::vector<Prediction>& predictions) {
  Reliability result;
  double weights = 0;
  for (std::size_t b = 0; b + 1 < edges.size(); ++b) {
    ReliabilityBin bin;
    double variance = 0;
    for (const Prediction& p : predictions)
      if (p.probability >= edges[b] && p.probability < edges[b + 1])
        bin.predicted += p.probability, variance += p.probability * (1 - p.probability),
            bin.came_true.count(p.came_true);
    if (bin.came_true.of == 0) continue;
    const double n = bin.came_true.of, weight = bin.predicted;
    bin.predicted /= n;
    result.gap += weight * std::abs(bin.predicted - bin.came_true.value());
    result.chance += weight * std::sqrt(2 / M_PI * variance) / n;  // mean of |normal|
    weights += weight;
    result.bins.push_back(bin);
  }
  if (weights > 0) result.gap /= weights, result.chance /= weights;
  return result;
}

bool is_leak(const std::string& kind) {
  return std::ranges::any_of(fault_kinds(), [&](const FaultKind& known) {
    return kind.starts_with(std::string(known.word) + " (") && known.change == FaultKind::Change::opens_leak;
  });
}

}  // namespace

double Share::low() const {
  return of == 0 ? 0 : boost::math::binomial_distribution<>::find_lower_bound_on_p(of, hits, tail);
}
double Share::high() const {
  return of == 0 ? 1 : boost::math::binomial_distribution<>::find_upper_bound_on_p(of, hits, tail);
}

Score score(const std::string& group, const std::vector<JobOutcome>& outcomes,
            const std::function<bool(const JobOutcome&)>& belongs) {
  Score result;
  result.group = group;
  std::vector<double> errors, shown_errors;
  double chi = 0, samples = 0;
  for (const JobOutcome& o : outcomes) {
    if (!o.refused.empty() || (belongs && !belongs(o))) continue;
    ++result.jobs;
    result.in_90_set.count(o.in_90_set());
    result.missed.count(o.missed > missed_by);
    if (o.next > std::log(decisive_factor)) result.top_right.count(o.top_is_alike);
    for (const LogOutcome& log : o.logs) chi += log.surprise * log.samples, samples += log.samples;
    if (!o.faulty()) continue;
    const auto within = [&](double share) { return std::abs(o.cdf - 0.5) <= 0.5 * share; };
    result.covered_50.count(within(0.5)), result.covered_80.count(within(0.8)), result.covered_90.count(within(0.9));
    const double error = std::abs(o.best - o.severity) / std::abs(o.severity);
    errors.push_back(error);
    if (o.sharpness < sharp) shown_errors.push_back(error);
  }
  result.size_error = median(shown_errors), result.any_size_error = median(errors),
  result.sized = static_cast<int>(shown_errors.size());
  result.surprise = samples > 0 ? chi / samples : 0;
  return result;
}

Share cold_leaks_in_lower_half(const std::vector<JobOutcome>& outcomes) {
  Share share;
  for (const JobOutcome& outcome : outcomes) {
    const bool cold = outcome.conditions.find("cold") != std::string::npos;
    if (outcome.refused.empty() && cold && is_leak(outcome.kind)) share.count(outcome.cdf < 0.5);
  }
  return share;
}

RankHistogram rank_histogram(const std::vector<JobOutcome>& outcomes, int bins) {
  RankHistogram result;
  result.counts.assign(static_cast<std::size_t>(bins), 0);
  int n = 0;
  for (const JobOutcome& o : outcomes)
    if (o.refused.empty() && o.faulty())
      ++n, ++result.counts[static_cast<std::size_t>(std::min(bins - 1, static_cast<int>(o.cdf * bins)))];
  if (n == 0) return result;
  const boost::math::binomial_distribution<> each(n, 1.0 / bins);
  result.least = static_cast<int>(quantile(each, tail)),
  result.most = static_cast<int>(quantile(complement(each, tail)));
  double chi = 0;
  const double expected = static_cast<double>(n) / bins;
  for (const int count : result.counts) chi += (count - expected) * (count - expected) / expected;
  result.p_value = cdf(complement(boost::math::chi_squared_distribution<>(bins - 1), chi));
  return result;
}

Reliability candidate_reliability(const std::vector<JobOutcome>& outcomes) {
  std::vector<Prediction> all;
  for (const JobOutcome& o : outcomes)
    for (std::size_t i = 0; o.refused.empty() && i < o.probabilities.size(); ++i)
      all.push_back({o.probabilities[i], static_cast<int>(i) == o.truth});
  return reliability(all);
}

Reliability kind_reliability(const std::vector<JobOutcome>& outcomes) {
  std::vector<Prediction> all;
  for (const JobOutcome& o : outcomes)
    for (std::size_t i = 0; o.refused.empty() && i < o.kinds.size(); ++i)
      all.push_back({o.kind_probabilities[i], o.kinds[i] == o.kind});
  return reliability(all);
}

}  // namespace railseep
