#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "match/match.hpp"
#include "quantity/json_fields.hpp"
#include "study/made_up_job.hpp"

namespace railseep {

/// How far one log is from what the model computes for the true fault and the true nuisances: no fit comes in.
struct LogOutcome {
  std::string name;
  double oil_temperature = 0;  // true [K]
  double interval = 0;         // between sweeps [s]
  int samples = 0;
  double surprise =
      0;  // mean square of the whitened residuals, wild samples counted as 9: 1 when the tolerances are right [-]
  double late_offset = 0;    // mean over the last third, measured - computed [Pa]
  double late_pressure = 0;  // mean measured [Pa]
};

inline constexpr std::uint64_t ideal_every = 4;

/// What the match said of one made-up job, and what was true.
struct JobOutcome {
  std::uint64_t number = 0;
  std::string conditions, deviations;  // in words
  std::string refused;                 // why there is no answer; empty: there is one
  std::string kind, title;             // of the truth; kind "healthy" when nothing is wrong

  // Severity of the first suspect, by the fit of the true candidate. SI.
  double severity = 0, best = 0, low = 0, high = 0;
  double cdf =
      0;  // posterior probability of a severity below the true one: uniform over many jobs when the posterior is right
  double sharpness = 1;  // width of the 90 % interval over that of the prior, in the prior's own coordinate

  std::vector<double> probabilities;  // of all candidates, most probable first
  int truth = -1;                     // index of the true one
  std::vector<std::string> kinds;     // kinds, and the probability of each
  std::vector<double> kind_probabilities;
  std::string top;  // title of the most probable

  // The same match on pressures that are exactly what the model computes for the truth: what perfect evidence could
  // tell. For one job in ideal_every, the others keep 0: it costs as long as the match itself.
  int look_alikes = 0;        // candidates within look_alike_factor of the truth, itself among them
  double next = 0;            // ln of the Bayes factor of the truth against the best that is no look-alike
  bool top_is_alike = false;  // the most probable candidate of the real match is the truth or one of its look-alikes

  bool converged = true;  // the fit of the truth
  double missed = 0;   // -ln of (likelihood times prior) at that fit's best point, less that at the truth: above 0 the
                       // search missed something
  double seconds = 0;  // of the match
  std::vector<LogOutcome> logs;

  bool faulty() const { return kind != "healthy"; }
  bool in_90_set() const;  // the truth is in the smallest set of candidates that holds 90 %
};

/// Makes a job, matches it and keeps what is of interest. Never throws for a job that cannot be made or matched: it is
/// refused, and counted.
JobOutcome run_job(const Circuit& circuit, const Priors& priors, std::uint64_t seed, std::uint64_t number,
                   const std::optional<Deviations>& deviations);

Json outcome_json(const JobOutcome& outcome);
JobOutcome outcome_of(const Json& json);

}  // namespace railseep
