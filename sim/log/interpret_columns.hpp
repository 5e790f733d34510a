#pragma once

#include <vector>

#include "log/find_columns.hpp"

namespace railseep {

/// Decides kind, unit and number style of every column: told before written in the header, written before guessed.
/// @throws Error when the user told something that cannot be, or no column can be made out
std::vector<ColumnLayout> interpret_columns(RawLog& raw, const LogOptions& options, char separator);

}  // namespace railseep
