#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "channel/trace.hpp"

namespace railseep {

/// The unit that a quantity is written in.
using UnitOf = std::function<std::string_view(Quantity)>;

/// A trace as CSV: a header with units ("rail pressure [psi]"), one row a time.
std::string trace_csv(const Trace& trace, const UnitOf& unit_of);

}  // namespace railseep
