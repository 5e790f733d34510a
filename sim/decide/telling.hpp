#pragma once

#include <optional>
#include <string>
#include <vector>

#include "decide/forecast.hpp"

namespace railseep {

/// What would tell apart the members of a set that the evidence leaves together.
struct Telling {
  std::optional<Check> check;  // the cheapest that tells; none: no check of the catalogue does, or none is needed
  Cost cost;                   // of that check
  double unknown_bits = 0;     // entropy of which member it is, taking for granted that it is one of them [bit]
  double bits = 0;             // of those, how many the check is expected to tell
  bool one_cover = false;      // all members are reached by the same opening: nothing need be told
  std::string words;           // the same in a sentence
};

/// One for each of result.sets, from the forecasts of the checks at hand.
///
/// Members are hypotheses (a fit's places behind one cover). A check tells when it is expected to bring 30 % of what is
/// not known between the members, and nothing else counts here: what it says of candidates outside the set is left out.
/// The cheapest of those is named; where none tells so much, the one that tells most, if it tells 10 %; else none.
std::vector<Telling> tellings(const MatchResult& result, const Belief& belief, const std::vector<Forecast>& forecasts,
                              const Costs& costs);

/// The same from the match alone: computes what each check would show for the members. @param done ids of checks that
/// are not offered again
std::vector<Telling> what_would_tell(const Circuit& circuit, const MatchResult& result, const Costs& costs,
                                     const Checks& checks, const std::vector<std::string>& done, int threads = 0);

}  // namespace railseep
