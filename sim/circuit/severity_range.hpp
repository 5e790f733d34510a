#pragma once

#include "circuit/faults.hpp"

namespace railseep {

/// Severities that can be put into a circuit at all, SI: for a kind that sets a number, the number's own range; for
/// others, any.
struct SeverityRange {
  double least, most;
};
SeverityRange severity_range(const FaultKind& kind);

}  // namespace railseep
