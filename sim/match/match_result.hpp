#pragma once

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
  bool pairs_tried = false;           // two faults at once were among the candidates
  bool badly_explained = false;  // even the best fit is further off than noise and model doubt allow (one in a hundred)
};

/// Two faults at once cost many more fits: they are tried when no single one explains the evidence, or as told.
enum class Pairs { never, when_needed, always };

struct MatchOptions {
  int threads = 0;  // 0: all there are; the result does not depend on it
  std::function<void(std::size_t done, std::size_t all, const FaultFit& best)>
      progress;  // steps, and the best so far; called from one thread at a time; what it throws stops the match
  Pairs pairs = Pairs::when_needed;
};

inline constexpr double look_alike_factor = 3;  // Bayes factor below which candidates are not told apart

}  // namespace railseep
