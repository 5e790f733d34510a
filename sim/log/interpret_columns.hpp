#pragma once

#include <vector>

#include "log/find_columns.hpp"

namespace railseep {

/// Decides kind, unit and number style of every column: told before written in the header, written before guessed.
/// @throws Error when the user told something that cannot be
std::vector<ColumnLayout> interpret_columns(RawLog& raw, const LogOptions& options, char separator);

/// @throws Error naming the headers that would do, when no column is a measured channel
void require_known_column(const std::vector<ColumnLayout>& columns);

}  // namespace railseep
