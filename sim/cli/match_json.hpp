#pragma once

#include "decide/telling.hpp"
#include "job/job.hpp"
#include "match/match.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

/// The whole result of a match, SI with the unit in each key.
Json match_json(const Job& job, const Circuit& circuit, const MatchResult& result,
                const std::vector<Telling>& tellings);

}  // namespace railseep
