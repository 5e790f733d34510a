#pragma once

#include <string_view>

#include "circuit/circuit.hpp"

namespace railseep {

/// The circuit with one of its lines or passages cut into so many lines of equal length, each with inertia, and volumes
/// between them. The bore's own volume is shared out: half a piece's at each end is left to the nodes it joins, which
/// the file's volumes already hold.
/// @throws Error when the link is neither, or pieces is below 1
Circuit cut_line(const Circuit& circuit, std::string_view link, int pieces);

}  // namespace railseep
