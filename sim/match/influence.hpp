#pragma once

#include <cstddef>
#include <vector>

#include "evidence/evidence.hpp"
#include "hypothesis/fault_fit.hpp"

namespace railseep {

/// One sample of a log, and how much it speaks for one fit against another.
struct SampleInfluence {
  std::size_t log = 0, sample = 0;
  double weight = 0;  // what the difference of ln evidence loses without it; below 0: it speaks for the other
};

/// The samples that speak most for one fit against another: the one without which the difference loses most, then of
/// what is left again so. Both fits stay as they are, each with the tolerance and the wild samples it was judged by; a
/// refit could bring the other nearer still.
///
/// Without a sample i a normal with precision P loses 1/2*((P*r)_i^2/P_ii - ln P_ii) of -ln p: its deviation from what
/// the others of its log let one expect. Source: partitioned inverse, as Bishop, Pattern Recognition and Machine
/// Learning (2006), eq. 2.96 and 2.97 (from memory).
///
/// @param most as many samples at most; fewer where no other speaks for the first
std::vector<SampleInfluence> influences(const std::vector<CrankEvidence>& logs, const FaultFit& first,
                                        const FaultFit& other, std::size_t most);

/// A claim that hangs on fewer samples than these deserves a word: a tool, a belch of air or a hand at the throttle can
/// spoil three.
inline constexpr std::size_t few_samples = 5;
inline constexpr std::size_t spoilt_samples = 3;

/// Do fewer than five samples make all that tells the two apart (look_alike_factor)?
/// @param difference of ln evidence by the logs
bool hangs_on_few(double difference, const std::vector<SampleInfluence>& speaks);

/// What is left of the difference without the three samples that speak most.
double without_spoilt(double difference, const std::vector<SampleInfluence>& speaks);

}  // namespace railseep
