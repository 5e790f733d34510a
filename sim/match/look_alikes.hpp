#pragma once

#include "match/match_result.hpp"

namespace railseep {

/// Groups the fits that the evidence can not tell apart. @param fits most probable first
std::vector<LookAlikes> look_alikes(const Circuit& circuit, const std::vector<FaultFit>& fits);

}  // namespace railseep
