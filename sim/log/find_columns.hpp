#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "log/cell.hpp"
#include "log/log.hpp"
#include "log/log_options.hpp"
#include "log/split_table.hpp"

namespace railseep {

struct RawColumn {
  int number;  // 1 is the leftmost; in long form the order of appearance
  std::string header;
  std::string unit;          // from the row of units, or empty
  StyleEvidence style = {};  // what its cells say about how numbers are written
  std::string cut_off = {};  // what stands in the last row, where that row was cut off there; else empty
};

/// From a row on, the column k stands in cell place[k] of each row: a header in the middle of a file changes the order.
struct Arrangement {
  std::size_t first_row;
  std::vector<std::size_t> place;
};

/// One cell of a log, whichever form its file has.
struct PlacedCell {
  std::size_t sweep;   // which of the log's times it belongs to
  std::size_t column;  // index of RawLog::columns
  int line;
  std::string_view text;
  std::string_view unit;  // of this value alone, in long form
};

/// Where the columns and the data of a file are. Nothing is interpreted yet but names and places.
struct RawLog {
  std::vector<RawColumn> columns;
  bool long_form = false;
  int header_line = 0, unit_line = 0;
  std::size_t sweeps = 0;
  LineNumbers lines;  // of each sweep
  std::vector<Note> notes;

  std::vector<std::size_t> rows_left_out;  // rising
  std::size_t first_row = 0;               // of the table, that may hold data
  std::vector<Arrangement> arrangements;   // rising; where each column stands in a row. In long form none
  struct LongPlaces {
    std::size_t time, name, value, unit;  // cells of a row in long form
  } long_places{};

  /// Calls f(PlacedCell) for every cell of every row of data, row by row.
  template <typename F>
  void each_cell(const Table& table, F&& f) const;

  std::size_t column_named(std::string_view name) const;  // of the channels of a file in long form
};

/// Finds header and unit rows and where the data begin.
/// @throws Error when rows and header do not fit together, or no row holds data
RawLog find_columns(const Table& table, const LogOptions& options);

/// What the user said of a column, or nullptr.
const ColumnOptions* options_of(const LogOptions& options, int number, const std::string& header);

/// Long form: one row a value. nullopt when the table is not of that form.
std::optional<RawLog> find_long_form(const Table& table, const LogOptions& options);

template <typename F>
void RawLog::each_cell(const Table& table, F&& f) const {
  Cells cells;
  auto skip = rows_left_out.begin();
  auto arrangement = arrangements.begin();
  std::size_t sweep = 0;
  for (std::size_t row = first_row; row < table.rows.size(); ++row) {
    if (skip != rows_left_out.end() && *skip == row) {
      ++skip;
      continue;
    }
    table.cut(row, cells);
    const int line = table.rows[row].line;
    if (long_form) {
      f(PlacedCell{sweep, 0, line, cells.at(long_places.time), {}});
      f(PlacedCell{sweep, column_named(cells.at(long_places.name)), line, cells.at(long_places.value),
                   cells.at(long_places.unit)});
    } else {
      while (arrangement + 1 != arrangements.end() && (arrangement + 1)->first_row <= row) ++arrangement;
      for (std::size_t k = 0; k < columns.size(); ++k)
        f(PlacedCell{sweep, k, line, cells.at(arrangement->place[k]), {}});
    }
    ++sweep;
  }
}

}  // namespace railseep
