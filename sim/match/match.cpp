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
#include "quantity/error.hpp"

namespace railseep {

namespace {

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

/// Evidence times prior; that of the logs as far as it is believed.
void set_probabilities(std::vector<FaultFit>& fits, bool doubted) {
  double best = -INFINITY;
  for (const FaultFit& fit : fits) best = std::max(best, logs_neg_log_evidence(fit));
  std::vector<double> all = shares(fits, [best, doubted](const FaultFit& fit) {
    return fit.observations_log_evidence -
           (doubted ? tempered_log_odds(best - logs_neg_log_evidence(fit)) : best - logs_neg_log_evidence(fit));
  });
  if (doubted)
    all = mixed_with_prior(std::move(all),
                           shares(fits, [](const FaultFit& fit) { return fit.observations_log_evidence; }));
  for (std::size_t i = 0; i < fits.size(); ++i) fits[i].probability = all[i];
  std::stable_sort(fits.begin(), fits.end(),
                   [](const FaultFit& a, const FaultFit& b) { return a.probability > b.probability; });
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
  result.pairs_tried = options.pairs == Pairs::always ||
                       (options.pairs == Pairs::when_needed && badly_explained((*best)->fit(), evidence.logs));
  if (result.pairs_tried) pairs = ranking.pairs(singles, second_fault_share);
  take(std::move(singles), result.pairs_tried ? 1 - second_fault_share : 1, options.threads, result);
  take(std::move(pairs), 1, options.threads, result);
  set_probabilities(result.fits, assumed_tolerances(evidence.logs));
  for (FaultFit& fit : result.fits) fit.flow = fault_flow(circuit, result.logs, fit);
  result.badly_explained = badly_explained(best_explained(result.fits), result.logs);
  result.sets = look_alikes(circuit, result.fits);
  crank_the_best(circuit, result);
  return result;
}

}  // namespace railseep
