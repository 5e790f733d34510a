#pragma once

#include <string>
#include <vector>

#include "log/find_columns.hpp"
#include "log/read_numbers.hpp"

namespace railseep {

/// The columns of a file as numbers, and what each was taken for.
struct InterpretedLog {
  RawLog raw;
  std::vector<ColumnLayout> layout;   // one a column
  std::vector<NumberColumn> numbers;  // one a column
  std::vector<Ask> asks;

  bool runs(double from) const;  // does the engine turn at least so fast [rad/s] in two samples that follow each other?
};

/// Chooses kind, style of numbers and unit of every column, and reads the numbers.
/// @throws Error when an option names a column that is not there, or says something that cannot be
InterpretedLog interpret_columns(const Table& table, RawLog raw, const LogOptions& options);

/// @throws Error naming the headers that would do, when no column is a measured channel
void require_known_column(const std::vector<ColumnLayout>& columns);

/// "column \"ICP\"", for messages.
std::string called(const ColumnLayout& column);

/// Asks for the unit of a column. @param fit the units to choose from; empty: any
Ask ask_for_unit(const ColumnLayout& column, const std::string& text, const std::vector<std::string>& fit);

}  // namespace railseep
