#pragma once

#include "decide/telling.hpp"
#include "match/match.hpp"
#include "words/shown_units.hpp"

namespace railseep {

// What one screen leaves out of a match.

/// Evidence with its notes, what is missing in it, candidates with sizes and misfit, what cannot be told apart and why.
void print_why(const Circuit& circuit, const MatchResult& result, const Evidence& evidence,
               const std::vector<Telling>& tellings, const ShownUnits& units);

/// Every candidate with all its places.
void print_places(const MatchResult& result, const ShownUnits& units);

/// Where the pump's oil goes.
void print_balance(const MatchResult& result, const ShownUnits& units);

}  // namespace railseep
