#pragma once

#include <string>
#include <vector>

#include "match/match_result.hpp"

namespace railseep {

/// Something that is missing in the evidence, and what that costs.
struct Shortfall {
  std::string missing;  // "hot crank: nobody measured the oil temperature"
  std::string cost;     // what it costs in certainty
  std::string mend;     // what would help
  bool grave = false;   // with it no ranking should be acted upon
};

/// What the evidence lacks: charge, oil temperature, samples, a second temperature, a duty, a trusted sensor, an
/// explanation at all or of one reading.
///
/// Source: 9.5 V and 130 rpm while cranking are workshop figures (trade); the other limits are assumed.
std::vector<Shortfall> shortfalls(const Circuit& circuit, const MatchResult& result,
                                  const Observations& observations = {});

/// How far the 90 % interval of a severity would shrink if one group of unknowns were known exactly, from the
/// covariance of a fit.
struct Narrowing {
  std::string known;  // "hot crank, oil temperature"
  double share = 1;   // of its width that would be left [-]
};

/// The groups that would narrow the first severity of a fit the most, best first. @param fit fitted in full, with one
/// severity at least
std::vector<Narrowing> narrowings(const FaultFit& fit);

}  // namespace railseep
