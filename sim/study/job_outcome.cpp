#include "study/job_outcome.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>

#include "hypothesis/predictor.hpp"
#include "match/goodness_of_fit.hpp"

namespace railseep {

namespace {

std::string kind_of(const Candidate& candidate) {
  if (candidate.healthy()) return "healthy";
  std::string text;
  for (const Suspect& suspect : candidate.suspects)
    text += (text.empty() ? "" : " and ") + std::string(suspect.kind->word) + " (" +
            std::string(suspect.kind->applies_to) + ")";
  return text;
}

bool same(const Candidate& a, const Candidate& b) {
  return a.suspects.size() == b.suspects.size() &&
         std::equal(a.suspects.begin(), a.suspects.end(), b.suspects.begin(), [](const Suspect& s, const Suspect& t) {
           return s.kind == t.kind && s.places.front().place == t.places.front().place;
         });
}

std::size_t find_truth(const std::vector<FaultFit>& fits, const Candidate& truth) {
  return static_cast<std::size_t>(
      std::ranges::find_if(fits, [&](const FaultFit& fit) { return same(fit.candidate, truth); }) - fits.begin());
}

LogOutcome deviation_of(const CrankEvidence& log, const std::vector<double>& computed, double oil_temperature) {
  LogOutcome outcome;
  outcome.name = log.name;
  outcome.oil_temperature = oil_temperature;
  outcome.interval = log.sample_interval;
  outcome.samples = static_cast<int>(log.time.size());
  const Eigen::VectorXd r = log.whiten(computed);
  outcome.surprise = reduced_chi_square(tolerances_of({log}), r, {});
  double count = 0;
  for (std::size_t i = 0; i < log.time.size(); ++i) {
    if (log.time[i] < 2.0 / 3 * log.time.back()) continue;
    outcome.late_offset += log.measured[i] - computed[i], outcome.late_pressure += log.measured[i], count += 1;
  }
  outcome.late_offset /= count, outcome.late_pressure /= count;
  return outcome;
}

void take_severity(JobOutcome& outcome, const FaultFit& fit) {
  if (!outcome.faulty()) return;
  const Severity& severity = fit.severities.front();
  const Unknown unknown = severity_unknown(fit.candidate.suspects.front());
  constexpr double prior_width = 2 * 1.645;
  outcome.best = severity.best, outcome.low = severity.low, outcome.high = severity.high;
  outcome.cdf = severity.cdf(outcome.severity);
  outcome.sharpness = (unknown.coordinate(severity.high) - unknown.coordinate(severity.low)) / prior_width;
}

void take_probabilities(JobOutcome& outcome, const MatchResult& result) {
  std::map<std::string, double> kinds;
  for (const FaultFit& fit : result.fits)
    outcome.probabilities.push_back(fit.probability), kinds[kind_of(fit.candidate)] += fit.probability;
  for (const auto& [kind, probability] : kinds)
    outcome.kinds.push_back(kind), outcome.kind_probabilities.push_back(probability);
  outcome.top = result.fits.front().candidate.title();
}

/// -ln of (likelihood times prior), up to a constant.
double cost(Predictor& predictor, const Evidence& evidence, const Eigen::VectorXd& u) {
  return tolerances_of(evidence.logs).loss(predictor.residuals(u)) + 0.5 * u.squaredNorm();
}

/// What perfect evidence could tell. @param ideal the match on it; @param top the most probable candidate of the real
/// match
void take_ideal(JobOutcome& outcome, const MatchResult& ideal, const MadeUpJob& job, const Candidate& top) {
  const double truth = ideal.fits[find_truth(ideal.fits, job.candidate)].log_evidence;
  outcome.next = INFINITY;
  for (const FaultFit& fit : ideal.fits) {
    const bool alike = truth - fit.log_evidence < std::log(look_alike_factor);
    outcome.look_alikes += alike;
    if (!alike) outcome.next = std::min(outcome.next, truth - fit.log_evidence);
    if (alike && same(fit.candidate, top)) outcome.top_is_alike = true;
  }
  if (!std::isfinite(outcome.next)) outcome.next = 0;
}

void match_job(JobOutcome& outcome, const Circuit& circuit, const Priors& priors, const MadeUpJob& job,
               std::uint64_t seed) {
  const Evidence evidence = made_up_evidence(circuit, job, seed);
  Predictor predictor(circuit, job.candidate, evidence.logs);
  const Eigen::VectorXd truth = coordinates_of(job, predictor.unknowns());
  const std::vector<std::vector<double>> expected = predictor.shown(truth);
  for (std::size_t i = 0; i < evidence.logs.size(); ++i)
    outcome.logs.push_back(deviation_of(
        evidence.logs[i], expected[i],
        assume(circuit, job.candidate, predictor.unknowns(), evidence.logs, i, truth).condition.oil_temperature));

  MatchOptions alone;
  alone.threads = 1;
  alone.pairs = Pairs::never;  // no job has two faults
  const auto start = std::chrono::steady_clock::now();
  const MatchResult result = match(circuit, evidence, priors, alone);
  outcome.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  const std::size_t at = find_truth(result.fits, job.candidate);
  outcome.truth = static_cast<int>(at);
  outcome.converged = result.fits[at].converged;
  outcome.missed = result.fits[at].u.size() == truth.size()
                       ? cost(predictor, evidence, result.fits[at].u) - cost(predictor, evidence, truth)
                       : 0;
  take_severity(outcome, result.fits[at]);
  take_probabilities(outcome, result);

  if (job.number % ideal_every != 0) return;
  Evidence perfect = evidence;
  for (std::size_t i = 0; i < perfect.logs.size(); ++i) perfect.logs[i].measured = expected[i];
  take_ideal(outcome, match(circuit, perfect, priors, alone), job, result.fits.front().candidate);
}

}  // namespace

bool JobOutcome::in_90_set() const {
  double sum = 0;
  for (int i = 0; i < static_cast<int>(probabilities.size()) && sum < 0.9; ++i) {
    if (i == truth) return true;
    sum += probabilities[static_cast<std::size_t>(i)];
  }
  return false;
}

JobOutcome run_job(const Circuit& circuit, const Priors& priors, std::uint64_t seed, std::uint64_t number,
                   const std::optional<Deviations>& deviations) {
  const MadeUpJob job = draw_job(circuit, priors, seed, number, deviations);
  JobOutcome outcome;
  outcome.number = number;
  outcome.conditions = job.conditions(), outcome.deviations = words(job.deviations);
  outcome.kind = kind_of(job.candidate), outcome.title = job.candidate.title();
  if (outcome.faulty()) outcome.severity = job.severity(0);
  try {
    match_job(outcome, circuit, priors, job, seed);
  } catch (const std::exception& trouble) {
    outcome.refused = trouble.what();
  }
  return outcome;
}

Json outcome_json(const JobOutcome& o) {
  Json json{{"job", o.number},
            {"conditions", o.conditions},
            {"deviations", o.deviations},
            {"kind", o.kind},
            {"title", o.title},
            {"refused", o.refused},
            {"severity", o.severity},
            {"best", o.best},
            {"low", o.low},
            {"high", o.high},
            {"cdf", o.cdf},
            {"sharpness", o.sharpness},
            {"probabilities", o.probabilities},
            {"truth", o.truth},
            {"kinds", o.kinds},
            {"kind_probabilities", o.kind_probabilities},
            {"top", o.top},
            {"look_alikes", o.look_alikes},
            {"next", o.next},
            {"top_is_alike", o.top_is_alike},
            {"converged", o.converged},
            {"missed", o.missed},
            {"seconds", o.seconds},
            {"logs", Json::array()}};
  for (const LogOutcome& log : o.logs)
    json["logs"].push_back({{"name", log.name},
                            {"oil_temperature", log.oil_temperature},
                            {"interval", log.interval},
                            {"samples", log.samples},
                            {"surprise", log.surprise},
                            {"late_offset", log.late_offset},
                            {"late_pressure", log.late_pressure}});
  return json;
}

JobOutcome outcome_of(const Json& json) {
  JobOutcome o;
  const auto take = [](const Json& from, const char* key, auto& into) { from.at(key).get_to(into); };
  take(json, "job", o.number), take(json, "conditions", o.conditions), take(json, "deviations", o.deviations),
      take(json, "kind", o.kind), take(json, "title", o.title);
  take(json, "refused", o.refused), take(json, "severity", o.severity), take(json, "best", o.best),
      take(json, "low", o.low), take(json, "high", o.high);
  take(json, "cdf", o.cdf), take(json, "sharpness", o.sharpness), take(json, "probabilities", o.probabilities),
      take(json, "truth", o.truth);
  take(json, "kinds", o.kinds), take(json, "kind_probabilities", o.kind_probabilities), take(json, "top", o.top),
      take(json, "look_alikes", o.look_alikes);
  take(json, "next", o.next), take(json, "top_is_alike", o.top_is_alike), take(json, "converged", o.converged),
      take(json, "missed", o.missed), take(json, "seconds", o.seconds);
  for (const Json& row : json.at("logs")) {
    LogOutcome& log = o.logs.emplace_back();
    take(row, "name", log.name), take(row, "oil_temperature", log.oil_temperature), take(row, "interval", log.interval),
        take(row, "samples", log.samples);
    take(row, "surprise", log.surprise), take(row, "late_offset", log.late_offset),
        take(row, "late_pressure", log.late_pressure);
  }
  return o;
}

}  // namespace railseep
