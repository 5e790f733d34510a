#pragma once

#include <span>
#include <string>
#include <vector>

#include "circuit/faults.hpp"
#include "evidence/situation.hpp"

namespace railseep {

/// Did the engine start, cranked for so long in this condition?
struct Started {
  std::string name;
  bool started = false;
  Situation situation;
};

/// Probability that it starts, as far as the oil side decides: the module sees its enable pressure once it knows the
/// engine's position, the injectors take their shots, and the pressure that is really there stays above the hold
/// pressure while they do.
///
///     p = <Phi((highest shown by t - enable)/d)>_t * Phi((really there, firing - hold)/d) * min(1, shots/0.5),    d =
///     hypot(0.05 MPa, 8 %)
///
/// The mean is over t = cranked*exp(0.2*z), z normal: how long filling takes is unsure. What is there while it fires is
/// read 3 s after it was enabled, or at the end of the crank if that is later. Source: enable and hold pressure are
/// circuit data; the softness d and the doubt about the time stand for the typical values of everything else; they and
///         the share of shots that an engine needs are assumed.
double start_probability(Procedures& procedures, const Situation& situation);

/// ln p(what it did | the circuit). Somebody complains, so an engine that nothing is wrong with on its oil side has its
/// trouble elsewhere: its no-start is certain. An engine with a fault on the oil side that should start by its pressure
/// has a second trouble elsewhere only rarely; so has a sound one after a repair.
/// @param repaired it was tried after a repair, so that nothing need be wrong
double log_likelihood(std::span<const Started> starts, Procedures& procedures, std::span<const Fault> faults,
                      bool repaired = false);

}  // namespace railseep
