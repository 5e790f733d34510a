#pragma once

#include <string>

#include "channel/trace.hpp"

namespace railseep {

/// A trace as CSV: a header with units ("rail pressure [psi]"), one row a time. @param metric MPa and degC instead of
/// psi and degF
std::string trace_csv(const Trace& trace, bool metric);

}  // namespace railseep
