#pragma once

#include "procedure/crank.hpp"

namespace railseep {

/// The circuit with the links of one of its blocks plugged and the gauge moved. @throws Error naming the blocks there
/// are
Circuit blocked(const Circuit& circuit, std::string_view block);

/// Names of blocks that every shipped circuit has.
inline constexpr std::string_view both_rails = "rails";

/// Pump isolation ("dead-head"): plugged, the tool holds the duty at its ceiling, injection is off, and the starter
/// turns the engine. More than 1500 psi is expected (trade). With a block of one rail less it is the half-split: one
/// rail unblocked.
CrankResult isolate(const Circuit& circuit, const Condition& condition, std::string_view block = both_rails,
                    CrankOptions options = {});

}  // namespace railseep
