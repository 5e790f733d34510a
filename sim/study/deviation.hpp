#pragma once

#include <set>
#include <span>
#include <string>
#include <string_view>

#include "circuit/circuit.hpp"
#include "procedure/condition.hpp"
#include "procedure/crank.hpp"

namespace railseep {

/// A way in which a made-up engine departs from the model that its logs are matched with. The truth stays what it is:
/// only what the model leaves out, or takes from one of several published laws, is different.
enum class Deviation { pump_ripple, waves, hysteresis, bulk_modulus, compressions, hole_law };

struct DeviationInfo {
  Deviation deviation;
  std::string_view word;     // "waves"
  std::string_view meaning;  // what is different, with its source
};

std::span<const DeviationInfo> all_deviations();

using Deviations = std::set<Deviation>;

/// "none", "all", or words with "+" between them. @throws Error naming the words there are
Deviations parse_deviations(const std::string& text);
std::string words(const Deviations& deviations);  // "none" when there are none

/// Puts what departs into the engine, its condition and the way it is computed. Speed and fault must be in them
/// already.
void depart(const Deviations& deviations, Circuit& circuit, Condition& condition, CrankOptions& options);

}  // namespace railseep
