#pragma once

#include "evidence/evidence.hpp"

namespace railseep {

/// A log of many samples becomes one of a few hundred means, so that a match of it takes no longer and no more memory.
/// Logs of no more than `samples_kept` samples stay as they are.
///
/// 1. Wild samples are left out by the Hampel identifier: further from the median of the samples around than their own
/// scatter and the noise allow.
/// 2. The time is cut by bisection into stretches in which pressure, duty, speed and battery voltage run straight
/// within a tolerance, none longer than
///    what the model's deviations keep in memory (longer in a log of many minutes). Where something bends, as at the
///    rise, single samples remain. Tolerances are doubled until there are no more than `stretches_kept`.
/// 3. A stretch's pressures become their mean at their mean time. Its noise is that of as many samples as differ from
/// the one before: what a tool repeats
///    tells nothing new. How far a stretch may be bent that was too long for its tolerance is added to its noise.
/// 4. Each signal that drives the model becomes the line through its means, and by Ramer-Douglas-Peucker the fewest
/// corners within a tolerance: the
///    solver stops at each corner.
///
/// Source: Hampel, The influence curve and its role in robust estimation (1974); Ramer (1972), Douglas & Peucker (1973)
/// (all from memory). A note on the evidence tells what was done. @param resolution step of the samples, in the unit of
/// the channel
void condense(CrankEvidence& evidence, const NoiseModel& noise, double resolution);

inline constexpr std::size_t samples_kept = 150, stretches_kept = 150;
inline constexpr double stretch_of_memory =
    0.5;  // longest stretch, of the memory of the model's deviations; and what a longer one counts as

}  // namespace railseep
