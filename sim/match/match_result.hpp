#pragma once

#include <cmath>
#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include "evidence/evidence.hpp"
#include "hypothesis/fault_fit.hpp"
#include "procedure/crank.hpp"

namespace railseep {

/// Candidates whose Bayes factor against the best of them is below 3: this evidence does not tell them apart.
struct LookAlikes {
  std::vector<std::size_t> fits;  // indices into MatchResult::fits, best first
  std::string why;                // physical reason, in the technician's words
};

struct MatchResult {
  std::vector<CrankEvidence> logs;
  std::vector<FaultFit> fits;         // most probable first
  std::vector<LookAlikes> sets;       // of fits worth showing
  std::vector<CrankResult> best;      // the most probable fit, cranked in full under each log's condition
  std::vector<OilBalance> balances;   // of those
  std::vector<std::string> troubles;  // candidates that could not be computed, and why
  bool at_odds = false;               // no single fault explains both the logs and what was observed beside them
  bool pairs_tried = false;           // two faults at once, of all kinds, were among the candidates
  std::size_t pairs_screened = 0;     // pairs of a hole and a film that were looked at where not all were
  double pair_gain = -INFINITY;  // ln evidence of the best pair less that of the best single fault; -INFINITY: none
                                 // was worth fitting
  bool badly_explained = false;  // even the best fit is further off than noise and model doubt allow (one in a hundred)
  bool unexplained = false;  // even the best fit explains nothing: then the logs do not count, chances and sizes are
                             // those of before any log
  double mean_square = 0;    // of the best explained candidate's residuals, see FaultFit::reduced_chi_square [-]
};

/// Two faults at once cost many more fits: all are tried when no single one explains the evidence, or as told. When one
/// does, pairs of a hole and a film are looked at all the same.
enum class Pairs { never, when_needed, always };

struct MatchOptions {
  int threads = 0;  // 0: all there are; the result does not depend on it
  std::function<void(std::size_t done, std::size_t all, const FaultFit& best)>
      progress;  // steps, and the best so far; called from one thread at a time; what it throws stops the match
  Pairs pairs = Pairs::when_needed;
};

inline constexpr double look_alike_factor = 3;  // Bayes factor below which candidates are not told apart

}  // namespace railseep
