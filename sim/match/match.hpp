#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "match/candidate.hpp"
#include "match/evidence.hpp"
#include "match/unknown.hpp"
#include "procedure/crank.hpp"

namespace railseep {

/// How bad a fault is: the best estimate and the ends of the middle 90 %, SI.
struct Severity {
  double best = 0, low = 0, high = 0;
};

/// One candidate fitted to all the evidence.
struct FaultFit {
  Candidate candidate;
  double probability = 0;
  double log_evidence = 0;                    // up to what is common to all candidates
  std::vector<Severity> severities;           // one a suspect
  double misfit = 0;                          // root mean square of measured - computed [Pa]
  std::optional<double> flow;                 // oil it costs at the reference pressure and the hottest log's oil [m3/s]; leaks and wear
  std::vector<Unknown> unknowns;              // the severities first
  Eigen::VectorXd u;                          // their best values
  std::vector<std::vector<double>> computed;  // for each log, at its sample times [Pa]
  bool converged = false;

  std::vector<Fault> faults() const;  // with their best severities
};

/// Candidates whose Bayes factor against the best of them is below 3: this evidence does not tell them apart.
struct LookAlikes {
  std::vector<std::size_t> fits;  // indices into MatchResult::fits, best first
  std::string why;                // physical reason, in the technician's words
};

struct MatchResult {
  std::vector<CrankEvidence> logs;
  std::vector<FaultFit> fits;        // most probable first
  std::vector<LookAlikes> sets;      // of fits worth showing
  std::vector<CrankResult> best;     // the most probable fit, cranked in full under each log's condition
  std::vector<OilBalance> balances;  // of those
};

struct MatchOptions {
  int threads = 0;  // 0: all there are; the result does not depend on it
  std::function<void(std::size_t done, std::size_t all, const FaultFit& best)> progress;  // called from one thread at a time
};

inline constexpr double reference_pressure = 3.5e6;  // at which a leak's flow is stated, gauge [Pa]
inline constexpr double look_alike_factor = 3;       // Bayes factor below which candidates are not told apart

/// Fits every fault the circuit can have to the evidence, and ranks them.
MatchResult match(const Circuit& circuit, const Evidence& evidence, const Priors& priors, const MatchOptions& options = {});

}  // namespace railseep
