#include "log/find_columns.hpp"

#include <algorithm>

#include "log/cell.hpp"
#include "log/log_unit.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

constexpr std::size_t searched_rows = 60;  // a preamble is 0 to 20 lines long; more is searched at no cost

std::size_t filled(const Row& row) {
  return static_cast<std::size_t>(
      std::count_if(row.cells.begin(), row.cells.end(), [](const std::string& c) { return !c.empty(); }));
}

std::size_t values(const Row& row) {
  return static_cast<std::size_t>(std::count_if(row.cells.begin(), row.cells.end(),
                                                [](const std::string& c) { return !c.empty() && is_value(c); }));
}

bool is_data(const Row& row, const Table& table) {
  return row.cells.size() >= table.usual_width && values(row) > 0 && 2 * values(row) > filled(row);
}

bool is_known(const std::string& cell, const LogOptions& options) {
  if (cell.empty()) return false;
  const HeaderReading reading = read_header(cell);
  if (reading.kind != ChannelKind::unknown || reading.may_be_fuel) return true;
  return !is_value(cell) && options_of(options, 0, cell) != nullptr;
}

// The row with the most names of channels in it; the more it looks like data, the less likely.
std::optional<std::size_t> find_header(const Table& table, const LogOptions& options) {
  std::optional<std::size_t> best;
  int best_score = 0;
  for (std::size_t i = 0; i < std::min(table.rows.size(), searched_rows); ++i) {
    const Row& row = table.rows[i];
    if (options.header_line) {
      if (row.line == *options.header_line) return i;
      continue;
    }
    int known = 0, numbers = 0;
    for (const std::string& cell : row.cells) {
      const bool named = is_known(cell, options);
      known += named;
      numbers += !named && !cell.empty() && is_value(cell);
    }
    const bool only_codes = static_cast<int>(values(row)) >= known + numbers;  // a row "42, 0C" could be data
    const int score = 4 * known + 3 * (row.cells.size() == table.usual_width) - 4 * numbers;
    if (known == 0 || only_codes || score <= best_score) continue;
    best = i;
    best_score = score;
  }
  if (best || options.header_line == 0) return best;
  if (options.header_line) {
    throw Error("", "line " + std::to_string(*options.header_line) + " is no header: it is blank or too far down",
                "the number of the line with the headers, or 0 if there is none");
  }

  // No known name: the texts right above the first row of data, if they are as many.
  for (std::size_t i = 0; i < std::min(table.rows.size(), searched_rows); ++i) {
    if (!is_data(table.rows[i], table)) continue;
    if (i > 0 && table.rows[i - 1].cells.size() == table.rows[i].cells.size()) return i - 1;
    break;
  }
  return std::nullopt;
}

bool is_unit_row(const Row& row) {
  std::size_t known = 0;
  for (const std::string& cell : row.cells) known += find_log_unit(cell).has_value();
  return known > 0 && 2 * known >= filled(row) && values(row) <= filled(row) - known;
}

void check_width(const Table& table, std::size_t first, std::size_t width, int header_line) {
  std::size_t wider = 0, rows = 0;
  for (std::size_t i = first; i < table.rows.size(); ++i, ++rows) wider += table.rows[i].cells.size() > width + 1;
  if (rows == 0) {
    throw Error("",
                header_line ? "no row follows the header on line " + std::to_string(header_line)
                            : "no row of numbers was found",
                "rows of numbers under a header row");
  }
  if (2 * wider > rows) {
    throw Error(
        "line " + std::to_string(table.rows[first].line),
        "the row has " + std::to_string(table.rows[first].cells.size()) + " cells, the header " + std::to_string(width),
        "as many cells as headers; decimal commas need another separator, such as \";\", or quotes");
  }
}

}  // namespace

const ColumnOptions* options_of(const LogOptions& options, int number, const std::string& header) {
  for (const ColumnOptions& told : options.columns) {
    if (number > 0 && told.column == std::to_string(number)) return &told;
    if (told.column == header) return &told;
  }
  for (const ColumnOptions& told : options.columns) {
    if (!plain_word(told.column).empty() && plain_word(told.column) == plain_word(header)) return &told;
  }
  return nullptr;
}

RawLog find_columns(const Table& table, const LogOptions& options) {
  if (auto raw = find_long_form(table, options)) return *raw;
  RawLog raw;
  const auto header = find_header(table, options);
  std::size_t first = 0, width = table.usual_width;
  if (header) {
    const Row& row = table.rows[*header];
    raw.header_line = row.line;
    first = *header + 1;
    width = row.cells.size();
    for (std::size_t k = 0; k < width; ++k) raw.columns.push_back({static_cast<int>(k) + 1, row.cells[k], "", {}});
  } else {
    while (first < table.rows.size() && !is_data(table.rows[first], table)) ++first;
    for (std::size_t k = 0; k < width; ++k) raw.columns.push_back({static_cast<int>(k) + 1, "", "", {}});
  }
  if (header && first < table.rows.size() && is_unit_row(table.rows[first])) {
    const Row& row = table.rows[first++];
    raw.unit_line = row.line;
    for (std::size_t k = 0; k < std::min(width, row.cells.size()); ++k) {
      if (!is_value(row.cells[k])) raw.columns[k].unit = row.cells[k];
    }
  }
  check_width(table, first, width, raw.header_line);

  std::size_t sweep = 0;
  for (std::size_t i = first; i < table.rows.size(); ++i) {
    const Row& row = table.rows[i];
    if (values(row) == 0) {
      const bool again = header && row.cells == table.rows[*header].cells;
      if (again) raw.notes.push_back({row.line, "the header stands here again"});
      if (!again)
        raw.notes.push_back({row.line, "\"" + shortened(row.cells[0]) + "\" is no row of data; it is left out"});
      continue;
    }
    for (std::size_t k = 0; k < width; ++k) {
      raw.columns[k].cells.push_back({sweep, row.line, k < row.cells.size() ? row.cells[k] : "", ""});
    }
    for (std::size_t k = width; k < row.cells.size(); ++k) {
      if (!row.cells[k].empty())
        raw.notes.push_back({row.line, "\"" + shortened(row.cells[k]) + "\" stands beyond the last column"});
    }
    ++sweep;
  }
  return raw;
}

}  // namespace railseep
