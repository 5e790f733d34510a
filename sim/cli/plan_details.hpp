#pragma once

#include <string>
#include <vector>

#include "decide/decide.hpp"

namespace railseep {

/// What one screen leaves out of a decision: all checks by what they cost and tell, the first of them in full with
/// their cautions, the order of opening, and what is assumed. @param done ids of checks that are not offered again
void print_plan_details(const Decision& decision, const std::vector<std::string>& done);

}  // namespace railseep
