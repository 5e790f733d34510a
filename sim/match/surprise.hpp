#pragma once

#include <vector>

#include "match/evidence.hpp"
#include "match/fault_fit.hpp"

namespace railseep {

/// Is a fit further off than noise and model doubt allow in 99 of 100 cases? By chi-square of its residuals, wild ones counted as 9.
bool badly_explained(const FaultFit& fit, const std::vector<CrankEvidence>& logs);

}  // namespace railseep
