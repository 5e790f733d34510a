#pragma once

#include <map>
#include <string>
#include <vector>

#include "circuit/faults.hpp"

namespace railseep {

/// A fault hypothesis with unknown severity. Places that the model can not tell from one another share one candidate.
struct Candidate {
  const FaultKind* kind = nullptr;  // nullptr: nothing wrong on the oil side
  std::vector<PossibleFault> places;
  double prior = 0;                 // of all its places together [-]

  std::string title() const;        // "hole at left rail front end plug (or 7 other places)"
  Fault fault(double severity) const { return {places.front().place, std::string(kind->word), severity}; }
};

/// How likely each kind of fault is before anything was measured: a weight for each word of fault_kinds(), and for "healthy".
/// A kind that can stand in several places shares its weight among them.
using Priors = std::map<std::string, double>;

/// Reads models/priors.json. @throws Error
Priors read_priors(const std::string& path);

/// All single faults of a circuit, and "healthy"; priors add up to 1. @throws Error when a kind has no weight
std::vector<Candidate> candidates(const Circuit& circuit, const Priors& priors);

}  // namespace railseep
