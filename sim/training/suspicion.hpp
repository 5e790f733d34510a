#pragma once

#include <string>
#include <vector>

#include "decide/hypothesis.hpp"

namespace railseep {

/// What a learner can suspect: the functions of the oil side, leaks by the cover they are behind. "leak: left valve
/// cover", "pump", "regulator", "wiring", "sensor", "injectors", "oil supply", "the oil", "batteries", "valves", "not
/// the oil side".
std::string suspicion_of(const Belief& belief, const Hypothesis& hypothesis);

/// Of a fault that is really there.
std::string suspicion_of(const Circuit& circuit, const Fault& fault);

/// All that this engine can be suspected of, in the order of the functions.
std::vector<std::string> suspicions(const Belief& belief);

inline constexpr std::string_view not_the_oil_side = "not the oil side";

}  // namespace railseep
