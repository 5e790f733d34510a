#pragma once

#include <string>
#include <vector>

#include "decide/decide.hpp"
#include "decide/showing.hpp"

namespace railseep {

/// "hole or stuck open behind the left valve cover (62 %), wear at high-pressure pump (20 %)": what is left after an
/// outcome, in plain words.
/// @param probabilities of the hypotheses
std::string likely_words(const Belief& belief, const std::vector<double>& probabilities);

/// "open the left valve cover": what to do with a group.
std::string open_words(const WorkGroup& group);

/// "open: left valve cover" or "renew on suspicion: high-pressure oil pump": one step of the search.
std::string step_words(const WorkGroup& group, const std::string& part);

/// "nearly nothing" to "nearly everything" that is not known now. @param share [-]
std::string tells_words(double share);

/// What of a decision is assumed, one line each.
std::vector<std::string> assumed_words(const Costs& costs, const Checks& checks, const Belief& belief,
                                       const Showings& shows);

}  // namespace railseep
