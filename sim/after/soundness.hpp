#pragma once

#include "match/match_result.hpp"

namespace railseep {

inline constexpr double good_build_time =
    5;  // the pressure that enables injection must be there within this [s]; maker's bulletins, 2008 (trade)

/// Whether anything on the oil side keeps the engine from starting, as far as the logs tell.
struct Soundness {
  bool in_time = false;      // in every log of the whole circuit the pressure was measured to be there in time
  bool fires = false;        // in every one of these logs the engine runs by itself at last
  double nothing_wrong = 0;  // probability that the oil side has no fault at all [-]
  double harmless = 0;       // that it has one that leaves_pressure_in_time() [-]

  double no_fault_matters() const { return nothing_wrong + harmless; }
  bool said_first() const { return in_time && no_fault_matters() > 0.5; }  // likelier than not
};

Soundness soundness(const Circuit& circuit, const MatchResult& result);

/// With the faults of this fit the pressure that it computes is there in time in every log of the whole circuit: they
/// may be there, but they are not what keeps the engine from starting. Only faults that act by losing or lacking
/// pressure can be harmless so. Where no such log is hot, the pressure must be there in a hot crank as well, for most
/// leaks show only then.
bool leaves_pressure_in_time(const Circuit& circuit, const MatchResult& result, const FaultFit& fit);

}  // namespace railseep
