#pragma once

#include "decide/telling.hpp"
#include "job/job.hpp"
#include "match/match.hpp"
#include "quantity/json_fields.hpp"
#include "words/shown_units.hpp"

namespace railseep {

inline constexpr int match_json_version = 2;  // of what stands in it; models/match_answer.schema.json describes it

/// The whole result of a match, SI with the unit in each key. All that the text says is in it.
/// @param units of the sentences in it
Json match_json(const Job& job, const Circuit& circuit, const MatchResult& result, const Observations& observations,
                const std::vector<Telling>& tellings, const ShownUnits& units);

}  // namespace railseep
