#pragma once

#include "procedure/crank.hpp"

namespace railseep {

/// The engine idles, however it was started: idle speed, charged battery, injectors firing, the module at its running
/// map. For comparing duty and pressure at idle; whether it would start, stall or survive is engine_run.hpp's business.
CrankResult idle(const Circuit& circuit, const Condition& condition, CrankOptions options = {});

}  // namespace railseep
