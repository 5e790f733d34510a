#pragma once

#include "procedure/engine_run.hpp"

namespace railseep {

/// Cranks so long with injection off, then key off: how fast the rail pressure falls. Hot, minutes; behind a good check
/// valve it holds longest.
Trace key_off_hold(const Circuit& circuit, const Condition& condition, double crank_time = 5, double hold_time = 60,
                   RunOptions options = {});

/// Time from key-off until the pressure at the sensor has fallen to that share of what it was [s]; nothing if it never
/// does.
std::optional<double> decay_time(const Trace& trace, double crank_time, double share = 0.5);

}  // namespace railseep
