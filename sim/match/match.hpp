#pragma once

#include "match/match_result.hpp"

namespace railseep {

/// Fits every fault the circuit can have to the evidence, and ranks them. Logs of the same engine when it was good
/// (Stage::good) may stand among the others: what is unsure about the engine is the same in all, so that much of it
/// cancels; numbers calibrated from these logs say less, for what they know about each other is lost. @throws Error
/// when there is no evidence
MatchResult match(const Circuit& circuit, const Evidence& evidence, const Priors& priors,
                  const MatchOptions& options = {});

}  // namespace railseep
