#pragma once

#include <optional>

#include "hypothesis/fault_fit.hpp"

namespace railseep {

/// Oil that a leak, or a pump's wear beyond new, costs at the reference pressure with the oil of the hottest log
/// [m3/s]; of two leaks the sum. Nothing for faults that lose no oil, or when there is no log to tell how hot the oil
/// is.
std::optional<double> fault_flow(const Circuit& circuit, const std::vector<CrankEvidence>& logs, const FaultFit& fit);

}  // namespace railseep
