#pragma once

#include "match/match_result.hpp"

namespace railseep {

/// Groups the fits that the evidence cannot tell apart. @param fits most probable first
std::vector<LookAlikes> look_alikes(const Circuit& circuit, const std::vector<FaultFit>& fits);

/// Do all its faults pass oil in proportion to pressure over viscosity, as films do?
bool film_like(const Candidate& candidate);

/// Do all its faults pass oil as a hole does, hot or cold alike?
bool hole_like(const Candidate& candidate);

}  // namespace railseep
