#pragma once

#include <string>
#include <vector>

#include "log/log.hpp"
#include "log/log_options.hpp"
#include "log/split_table.hpp"

namespace railseep {

struct RawCell {
  std::size_t sweep;  // which of RawLog's times it belongs to
  int line;
  std::string text;
  std::string unit;  // of this value alone, in long form
};

struct RawColumn {
  int number;  // 1 is the leftmost; in long form the order of appearance
  std::string header;
  std::string unit;  // from the row of units, or empty
  std::vector<RawCell> cells;
};

/// The file as columns of text, whichever form it had. Nothing is interpreted yet but names and places.
struct RawLog {
  std::vector<RawColumn> columns;
  bool long_form = false;
  int header_line = 0, unit_line = 0;
  std::vector<Note> notes;
};

/// Finds header and unit rows and where the data begin.
/// @throws Error when rows and header do not fit together, or no row holds data
RawLog find_columns(const Table& table, const LogOptions& options);

/// What the user said of a column, or nullptr.
const ColumnOptions* options_of(const LogOptions& options, int number, const std::string& header);

/// Long form: one row a value. nullopt when the table is not of that form.
std::optional<RawLog> find_long_form(const Table& table, const LogOptions& options);

}  // namespace railseep
