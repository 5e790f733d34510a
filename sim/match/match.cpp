#include "match/match.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "fit/in_parallel.hpp"
#include "hypothesis/fault_flow.hpp"
#include "match/goodness_of_fit.hpp"
#include "match/look_alikes.hpp"
#include "match/ranking.hpp"
#include "match/self_doubt.hpp"
#include "match/severity_posterior.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double too_much_at_odds = 3;  // ln evidence: one chance in 20 (assumed)

void take(Ranking::Fits&& fits, double prior_share, int threads, MatchResult& result) {
  std::vector<FaultFit> finished(fits.size());
  in_parallel(fits.size(), threads, [&](std::size_t i) { finished[i] = fits[i]->finish(); });
  for (FaultFit& done : finished) {
    done.candidate.prior *= prior_share;
    if (done.trouble.empty())
      result.fits.push_back(std::move(done));
    else
      result.troubles.push_back(done.candidate.title() + ": " + done.trouble);
  }
}

double highest_evidence(const Ranking::Fits& fits) {
  double highest = -INFINITY;
  for (const auto& fit : fits)
    if (fit->fit().fitted && fit->fit().trouble.empty()) highest = std::max(highest, -fit->total_neg_log_evidence());
  return highest;
}

/// How much worse the best single fault explains the logs and what was observed beside them than one fault would
/// explain the one and another the other: ln of a factor of evidence.
double at_odds(const Ranking::Fits& fits) {
  double logs = -INFINITY, beside = -INFINITY, both = -INFINITY;
  for (const auto& fit : fits) {
    if (!fit->fit().trouble.empty()) continue;
    const double whole = -fit->total_neg_log_evidence(), seen = fit->fit().observations_log_evidence;
    logs = std::max(logs, whole - seen), beside = std::max(beside, seen), both = std::max(both, whole);
  }
  return logs + beside - both;
}

double logs_neg_log_evidence(const FaultFit& fit) { return fit.log_evidence - fit.observations_log_evidence; }

/// Prior times the weight of each, over their sum. @param weight ln
std::vector<double> shares(const std::vector<FaultFit>& fits, const std::function<double(const FaultFit&)>& weight) {
  double highest = -INFINITY, sum = 0;
  for (const FaultFit& fit : fits) highest = std::max(highest, weight(fit));
  std::vector<double> all;
  for (const FaultFit& fit : fits) sum += all.emplace_back(fit.candidate.prior * std::exp(weight(fit) - highest));
  for (double& share : all) share /= sum;
  return all;
}

/// @param misled share of all jobs in which the logs mislead, and only what is known without them counts
std::vector<double> doubted_shares(const std::vector<FaultFit>& fits, double best, double misled) {
  return mixed_with_prior(shares(fits,
                                 [best](const FaultFit& fit) {
                                   return fit.observations_log_evidence -
                                          tempered_log_odds(best - logs_neg_log_evidence(fit));
                                 }),
                          shares(fits, [](const FaultFit& fit) { return fit.observations_log_evidence; }), misled);
}

/// Evidence times prior; that of the logs as far as it is believed. @param unexplained the logs do not count
void set_probabilities(std::vector<FaultFit>& fits, bool doubted, bool unexplained) {
  double best = -INFINITY;
  for (const FaultFit& fit : fits) best = std::max(best, logs_neg_log_evidence(fit));
  const std::vector<double> all = unexplained || doubted
                                      ? doubted_shares(fits, best, unexplained ? 1 : misleading_log_share)
                                      : shares(fits, [](const FaultFit& fit) { return fit.log_evidence; });
  for (std::size_t i = 0; i < fits.size(); ++i) fits[i].probability = all[i];
  std::stable_sort(fits.begin(), fits.end(),
                   [](const FaultFit& a, const FaultFit& b) { return a.probability > b.probability; });
}

/// Sizes of before any log. The best values stay: they are those of the curves.
void forget_sizes(std::vector<FaultFit>& fits) {
  for (FaultFit& fit : fits)
    for (std::size_t i = 0; i < fit.severities.size(); ++i) {
      const Unknown prior = severity_unknown(fit.candidate.suspects[i]);
      const double best = fit.severities[i].best;
      fit.severities[i] =
          SeverityPosterior(0, 1, prior.coordinate(prior.least), prior.coordinate(prior.most)).severity(prior, false);
      fit.severities[i].best = best;
      fit.severities[i].low = std::min(best, fit.severities[i].low);
      fit.severities[i].high = std::max(best, fit.severities[i].high);
    }
}

const FaultFit& best_explained(const std::vector<FaultFit>& fits) {
  return *std::ranges::max_element(fits, {}, [](const FaultFit& fit) { return fit.log_evidence; });
}

void crank_the_best(const Circuit& circuit, MatchResult& result) {
  const FaultFit& best = result.fits.front();
  for (std::size_t i = 0; i < result.logs.size(); ++i) {
    const Assumed assumed = assume(circuit, best.candidate, best.unknowns, result.logs, i, best.u);
    CrankOptions full;
    full.duty = result.logs[i].duty;
    full.duration = result.logs[i].duration;
    result.best.push_back(crank(assumed.circuit, assumed.condition, full));
    result.balances.push_back(balance(assumed.circuit, result.best.back().trace));
  }
}

}  // namespace

MatchResult match(const Circuit& circuit, const Evidence& evidence, const Priors& priors, const MatchOptions& options) {
  if (evidence.logs.empty() && evidence.observations.empty())
    throw Error("job", "it has neither a log nor a reading nor a finding", "add at least one");
  MatchResult result;
  result.logs = evidence.logs;
  Ranking ranking(circuit, evidence, options);
  Ranking::Fits singles = ranking.singles(candidates(circuit, priors)), pairs;
  const auto best = std::ranges::max_element(
      singles, {}, [](const auto& fit) { return fit->fit().fitted ? fit->fit().log_evidence : -INFINITY; });
  result.at_odds = at_odds(singles) > too_much_at_odds;
  result.pairs_tried =
      options.pairs == Pairs::always ||
      (options.pairs == Pairs::when_needed && (result.at_odds || badly_explained((*best)->fit(), evidence.logs)));
  if (result.pairs_tried)
    pairs = ranking.pairs(singles, second_fault_share);
  else if (options.pairs == Pairs::when_needed)
    pairs = ranking.pairs_of_laws(singles, second_fault_share, result.pairs_screened);
  result.pair_gain = highest_evidence(pairs) - highest_evidence(singles);
  take(std::move(singles), pairs.empty() ? 1 : 1 - second_fault_share, options.threads, result);
  take(std::move(pairs), 1, options.threads, result);
  const FaultFit& explains = best_explained(result.fits);
  result.mean_square = explains.reduced_chi_square;
  result.badly_explained = badly_explained(explains, result.logs);
  result.unexplained = explains_nothing(explains, result.logs);
  set_probabilities(result.fits, assumed_tolerances(evidence.logs), result.unexplained);
  if (result.unexplained) forget_sizes(result.fits);
  for (FaultFit& fit : result.fits)
    if (!result.unexplained) fit.flow = fault_flow(circuit, result.logs, fit);
  if (!result.unexplained) result.sets = look_alikes(circuit, result.fits);
  crank_the_best(circuit, result);
  return result;
}

}  // namespace railseep
