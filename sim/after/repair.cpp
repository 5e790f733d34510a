#include "after/repair.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

#include "after/soundness.hpp"
#include "hypothesis/fault_flow.hpp"
#include "match/candidate_fit.hpp"
#include "match/self_doubt.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

using Presence = Suspect::Presence;
using Verdict = RepairProof::Verdict;

constexpr double prior_gone = 0.6, prior_unchanged = 0.2, prior_changed = 0.2;  // assumed
constexpr double sure = 0.9;                                                    // probability that a proof takes
constexpr double as_hot = 15;  // [K] that the hottest log after the repair may be colder than the hottest before
constexpr double strong_factor =
    10;  // Bayes factor by which another fault must beat a sound engine to be held against the repair

Evidence all_logs(const Evidence& before, const Evidence& after) {
  Evidence all;
  all.logs = before.logs;
  for (CrankEvidence log : after.logs) {
    if (log.stage == Stage::good) continue;  // stands among those from before
    log.stage = Stage::after;
    all.logs.push_back(std::move(log));
  }
  return all;
}

Suspect present(Suspect suspect, Presence presence) {
  suspect.presence = presence;
  return suspect;
}

double hottest(const Evidence& evidence) {
  double highest = 0;
  for (const CrankEvidence& log : evidence.logs)
    if (log.stage != Stage::good) highest = std::max(highest, log.condition.oil_temperature);
  return highest;
}

bool only_good(const Evidence& evidence) {
  return std::ranges::all_of(evidence.logs, [](const CrankEvidence& log) { return log.stage == Stage::good; });
}

const FaultFit& likeliest_fault(const MatchResult& match) {
  const auto found =
      std::ranges::find_if(match.fits, [](const FaultFit& fit) { return fit.candidate.suspects.size() == 1; });
  if (found == match.fits.end())
    throw Error("repair", "the logs before it show no fault", "take logs in which the trouble shows");
  return *found;
}

/// Flow at three severities of one suspect [m3/s].
std::optional<Severity> flow_of(const Circuit& circuit, const std::vector<CrankEvidence>& logs, const Suspect& suspect,
                                const Severity& severity) {
  FaultFit one;
  one.candidate.suspects = {suspect};
  const auto at = [&](double si) {
    one.severities = {Severity(si, si, si)};
    return fault_flow(circuit, logs, one);
  };
  const auto best = at(severity.best), low = at(severity.low), high = at(severity.high);
  if (!best || !low || !high) return std::nullopt;
  return Severity(*best, *low, *high);
}

/// ln p(what was read, tried and seen in one stage | a fault of this size, none where there is none).
double observed_with(const Circuit& circuit, const Observations& seen, const Suspect& suspect,
                     const std::optional<double>& severity) {
  if (seen.empty()) return 0;
  std::vector<Fault> faults;
  if (severity) faults.push_back(suspect.fault(*severity));
  return log_likelihood(seen, with_faults(circuit, faults), faults);
}

/// One of the three ways, weighed.
struct Way {
  const FaultFit& fit;
  double prior, observed;  // [-], ln p of what was observed beside the logs in both stages
};

/// Probabilities of the ways: the logs as far as they are believed, what was observed beside them whole
/// (self_doubt.hpp).
std::vector<double> weighed(const std::vector<Way>& ways, bool doubted) {
  double best = -INFINITY, most = -INFINITY;
  for (const Way& way : ways) best = std::max(best, way.fit.log_evidence), most = std::max(most, way.observed);
  std::vector<double> told, untold;
  double sum = 0, sum_untold = 0;
  for (const Way& way : ways) {
    const double behind = best - way.fit.log_evidence;
    untold.push_back(way.prior * std::exp(way.observed - most));
    told.push_back(untold.back() * std::exp(-(doubted ? tempered_log_odds(behind) : behind)));
    sum += told.back(), sum_untold += untold.back();
  }
  for (double& share : told) share /= sum;
  for (double& share : untold) share /= sum_untold;
  return doubted ? mixed_with_prior(std::move(told), untold) : told;
}

/// The three ways it may have gone, fitted to all logs. Fills probabilities, fault and flows.
void fit_three_ways(const Circuit& circuit, const Evidence& before, const Evidence& after, const Suspect& suspect,
                    RepairProof& proof) {
  const Evidence logs = all_logs(before, after);
  CandidateFit gone(circuit, logs, {{present(suspect, Presence::before_repair)}, prior_gone});
  CandidateFit unchanged(circuit, logs, {{present(suspect, Presence::always)}, prior_unchanged});
  CandidateFit changed(
      circuit, logs,
      {{present(suspect, Presence::before_repair), present(suspect, Presence::after_repair)}, prior_changed});
  for (CandidateFit* fit : {&gone, &unchanged})
    fit->scan_severities(), fit->search_widened(), fit->search(), fit->weigh();
  if (!gone.fit().trouble.empty())
    throw Error(circuit.name, gone.fit().trouble, "check the circuit and the conditions of the logs");
  changed.begin_from(gone);
  changed.scan_severities(), changed.rescan_at(gone.jacobian(), gone.fit().u), changed.search_widened(),
      changed.search(), changed.weigh();
  const FaultFit with_gone = gone.finish(), with_same = unchanged.finish(), with_other = changed.finish();
  const auto seen = [&](const FaultFit& fit, const std::optional<double>& left) {
    return observed_with(circuit, before.observations, suspect, fit.severities.front().best) +
           observed_with(circuit, after.observations, suspect, left);
  };
  std::vector<Way> ways{{with_gone, prior_gone, seen(with_gone, {})}};
  if (with_same.trouble.empty())
    ways.push_back({with_same, prior_unchanged, seen(with_same, with_same.severities.front().best)});
  if (with_other.trouble.empty() && with_other.severities.size() == 2)
    ways.push_back({with_other, prior_changed, seen(with_other, with_other.severities[1].best)});
  const std::vector<double> shares = weighed(ways, assumed_tolerances(logs.logs));
  for (std::size_t i = 0; i < ways.size(); ++i)
    (&ways[i].fit == &with_gone   ? proof.gone
     : &ways[i].fit == &with_same ? proof.unchanged
                                  : proof.changed) = shares[i];
  proof.fault = proof.unchanged > std::max(proof.gone, proof.changed) ? with_same : with_gone;
  const bool other_size = proof.changed > std::max(proof.gone, proof.unchanged) && with_other.severities.size() == 2;
  proof.flow_before = flow_of(circuit, logs.logs, suspect, (other_size ? with_other : proof.fault).severities.front());
  if (with_other.severities.size() == 2)
    proof.flow_after = flow_of(circuit, logs.logs, suspect, with_other.severities[1]);
}

/// A fault that explains what was logged and seen after the repair much better than a sound engine does, as far as logs
/// are believed, and that would keep the engine from starting; nullptr: none.
const FaultFit* still_wrong(const Circuit& circuit, const MatchResult& after) {
  const auto healthy = std::ranges::find_if(after.fits, [](const FaultFit& fit) { return fit.candidate.healthy(); });
  if (healthy == after.fits.end()) return nullptr;
  const FaultFit& best =
      *std::ranges::max_element(after.fits, {}, [](const FaultFit& fit) { return fit.log_evidence; });
  const double seen = best.observations_log_evidence - healthy->observations_log_evidence;
  const double logged = best.log_evidence - healthy->log_evidence - seen;
  const double believed = logged > 0 && assumed_tolerances(after.logs) ? tempered_log_odds(logged) : logged;
  return believed + seen > std::log(strong_factor) && !leaves_pressure_in_time(circuit, after, best) ? &best : nullptr;
}

}  // namespace

std::string_view word(RepairProof::Verdict verdict) {
  switch (verdict) {
    case Verdict::proved:
      return "repair proved";
    case Verdict::something_left:
      return "something is left";
    case Verdict::not_proved:
      break;
  }
  return "repair not proved";
}

void judge_repair(const Circuit& circuit, const Evidence& before, const Evidence& after, RepairProof& proof) {
  const FaultFit* left = still_wrong(circuit, proof.after);
  if (hottest(after) < hottest(before) - as_hot) {
    proof.why = "the hottest log after the repair is " +
                format_quantity(hottest(after), Quantity::temperature, "degC", 3) + ", the trouble was logged at " +
                format_quantity(hottest(before), Quantity::temperature, "degC", 3) +
                ": a cold crank proves nothing, repeat it as hot";
  } else if (proof.unchanged >= std::max(proof.gone, proof.changed)) {
    proof.why = "the fault is there as it was";
  } else if (proof.changed > proof.gone) {
    proof.verdict = Verdict::something_left;
    proof.why = "the fault is smaller or larger than it was, and not gone";
  } else if (left) {
    proof.verdict = Verdict::something_left;
    proof.why = "the fault is gone, and something else is there: " + left->candidate.title() +
                " explains the logs after the repair far better than a sound engine";
  } else if (proof.gone < sure) {
    proof.why = "the logs do not tell well enough whether it is gone";
  } else {
    proof.verdict = Verdict::proved;
    proof.why = "the logs after the repair are those of a sound engine, and the fault would have shown";
  }
}

RepairProof prove_repair(const Circuit& circuit, const Evidence& before, const Evidence& after_repair,
                         const Priors& priors, const MatchOptions& options) {
  Evidence after = after_repair;
  after.observations.repaired = true;
  if (only_good(before))
    throw Error("repair", "there is no log from before it", "add one of the same kind of crank with the trouble in it");
  if (only_good(after))
    throw Error("repair", "there is no log from after it", "add one to the job with \"stage\": \"after\"");
  RepairProof proof;
  proof.before = match(circuit, before, priors, options);
  proof.after = match(circuit, after, priors, options);
  fit_three_ways(circuit, before, after, likeliest_fault(proof.before).candidate.suspects.front(), proof);
  judge_repair(circuit, before, after, proof);
  return proof;
}

}  // namespace railseep
