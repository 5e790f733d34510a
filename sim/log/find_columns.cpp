#include "log/find_columns.hpp"

#include <algorithm>
#include <numeric>

#include "log/header_reading.hpp"
#include "log/header_words.hpp"
#include "log/log_unit.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

constexpr std::size_t searched_rows = 60;  // a preamble is 0 to 20 lines long; more is searched at no cost

std::size_t filled(const Cells& row) {
  return static_cast<std::size_t>(std::ranges::count_if(row.text, [](std::string_view c) { return !c.empty(); }));
}

std::size_t values(const Cells& row) {
  return static_cast<std::size_t>(
      std::ranges::count_if(row.text, [](std::string_view c) { return !c.empty() && is_value(c); }));
}

bool is_data(const Cells& row, const Table& table) {
  return row.size() >= table.usual_width && values(row) > 0 && 2 * values(row) > filled(row);
}

bool is_known(std::string_view cell, const LogOptions& options) {
  if (cell.empty()) return false;
  const HeaderReading reading = read_header(cell);
  if (reading.kind != ChannelKind::unknown || reading.may_be_fuel) return true;
  return !is_value(cell) && options_of(options, 0, std::string(cell)) != nullptr;
}

Cells cells_of(const Table& table, std::size_t row) {
  Cells cells;
  table.cut(row, cells);
  return cells;
}

// The row with the most names of channels in it; the more it looks like data, the less likely.
std::optional<std::size_t> find_header(const Table& table, const LogOptions& options) {
  std::optional<std::size_t> best;
  int best_score = 0;
  for (std::size_t i = 0; i < table.rows.size() && (i < searched_rows || options.header_line); ++i) {
    if (options.header_line) {
      if (table.rows[i].line == *options.header_line) return i;
      if (table.rows[i].line > *options.header_line) break;
      continue;
    }
    const Cells row = cells_of(table, i);
    int known = 0, numbers = 0;
    for (const std::string_view cell : row.text) {
      const bool named = is_known(cell, options);
      known += named;
      numbers += !named && !cell.empty() && is_value(cell);
    }
    const bool only_codes = static_cast<int>(values(row)) >= known + numbers;  // a row "42, 0C" could be data
    const int score = 4 * known + 3 * (row.size() == table.usual_width) - 4 * numbers;
    if (known == 0 || only_codes || score <= best_score) continue;
    best = i;
    best_score = score;
  }
  if (best || options.header_line == 0) return best;
  if (options.header_line) {
    throw Error("", "line " + std::to_string(*options.header_line) + " is no header: it is blank or beyond the end",
                "the number of the line with the headers, or 0 if there is none");
  }

  // No known name: the texts right above the first row of data, if they are as many.
  for (std::size_t i = 0; i < std::min(table.rows.size(), searched_rows); ++i) {
    const Cells row = cells_of(table, i);
    if (!is_data(row, table)) continue;
    if (i > 0 && cells_of(table, i - 1).size() == row.size()) return i - 1;
    break;
  }
  return std::nullopt;
}

bool is_unit_row(const Cells& row) {
  std::size_t known = 0;
  for (const std::string_view cell : row.text) known += find_log_unit(cell).has_value();
  return known > 0 && 2 * known >= filled(row) && values(row) <= filled(row) - known;
}

// The first words of a table that is none, so that its user sees what was looked at.
std::string first_words(const Table& table) {
  if (table.rows.empty()) return "";
  std::string list;
  for (const std::string_view cell : cells_of(table, 0).text) {
    if (!cell.empty() && list.size() < 120) list += (list.empty() ? "\"" : ", \"") + shortened(cell) + "\"";
  }
  return list.empty() ? "" : " (the first line holds " + list + ")";
}

// Names of channels in the first cell of the rows, and none in the first row: a table that was turned.
void refuse_turned_table(const Table& table, const LogOptions& options) {
  std::string names;
  int count = 0;
  for (std::size_t i = 0; i < std::min(table.rows.size(), searched_rows); ++i) {
    const Cells row = cells_of(table, i);
    if (row.size() < 3 || !is_known(row.at(0), options) || is_value(row.at(0))) continue;
    names += (count++ == 0 ? "\"" : ", \"") + shortened(row.at(0)) + "\"";
  }
  if (count >= 2)
    throw Error("", "the table lies on its side: " + names + " stand below each other",
                "one column a channel, its name on top");
}

void check_width(const Table& table, std::size_t first, std::size_t width, int header_line) {
  if (first >= table.rows.size()) {
    throw Error("",
                (header_line ? "no row follows the header on line " + std::to_string(header_line)
                             : "no row of numbers was found") +
                    first_words(table),
                "rows of numbers under a header row, cells separated by comma, semicolon, tab, | or blanks");
  }
  std::size_t wider = 0, rows = 0;
  for (std::size_t i = first; i < std::min(table.rows.size(), first + 1000); ++i, ++rows) {
    wider += cells_of(table, i).size() > width + 1;
  }
  if (2 * wider > rows) {
    throw Error(
        "line " + std::to_string(table.rows[first].line),
        "the row has " + std::to_string(cells_of(table, first).size()) + " cells, the header " + std::to_string(width),
        "as many cells as headers; decimal commas need another separator, such as \";\", or quotes");
  }
}

// Goes once through all rows below the header: which hold data, what is odd about them, how numbers are written.
class Survey {
 public:
  Survey(const Table& table, RawLog& raw, std::optional<std::size_t> header) : table_(table), raw_(raw) {
    if (header) table_.cut(*header, header_);
  }

  void run() {
    std::vector<std::size_t> in_order(raw_.columns.size());
    std::iota(in_order.begin(), in_order.end(), 0);
    raw_.arrangements.push_back({raw_.first_row, in_order});
    for (std::size_t row = raw_.first_row; row < table_.rows.size(); ++row) look_at(row);
    look_at_end();
    tell(short_, short_line_, "row is", "rows are", " shorter than the header; what is missing is no sample");
    tell(beyond_, beyond_line_, "row holds", "rows hold",
         " more than the header names; what stands beyond its last column is not read");
    tell(wordy_ > notes_a_kind ? wordy_ : 0, wordy_line_, "row holds", "rows hold",
         " no number in all and are left out");
  }

 private:
  void look_at(std::size_t row) {
    table_.cut(row, cells_);
    const int line = table_.rows[row].line;
    if (!has_value()) {
      leave_out(row, line);
      return;
    }
    const std::vector<std::size_t>& place = raw_.arrangements.back().place;
    for (std::size_t k = 0; k < raw_.columns.size(); ++k) {
      StyleEvidence& style = raw_.columns[k].style;
      if (!style.is_settled()) style.weigh(cells_.at(place[k]));
    }
    const std::size_t width = raw_.columns.size();
    if (cells_.size() < width && short_++ == 0) short_line_ = line;
    const bool beyond = std::any_of(cells_.text.begin() + static_cast<long>(std::min(width, cells_.size())),
                                    cells_.text.end(), [](std::string_view c) { return !c.empty(); });
    if (beyond && beyond_++ == 0) beyond_line_ = line;
    raw_.lines.push(line);
    ++raw_.sweeps;
    last_row_ = row;
  }

  // Cells that begin like a number say so at once; the others are read.
  bool has_value() const {
    return std::ranges::any_of(
               cells_.text,
               [](std::string_view c) { return !c.empty() && c.front() >= '0' && c.front() <= '9' && is_value(c); }) ||
           values(cells_) > 0;
  }

  void leave_out(std::size_t row, int line) {
    raw_.rows_left_out.push_back(row);
    if (!header_.text.empty() && cells_.text == header_.text) {
      raw_.notes.push_back({line, "the header stands here again"});
    } else if (rearranges(row, line)) {
      raw_.notes.push_back(
          {line, "a header with another order stands here; from here on the columns are read in that order"});
    } else if (wordy_++ < notes_a_kind) {
      if (wordy_ == 1) wordy_line_ = line;
      raw_.notes.push_back({line, "\"" + shortened(cells_.at(0)) + "\" is no row of data; it is left out"});
    }
  }

  // Another header in the middle of the file: the same names elsewhere. What it does not name ends there.
  bool rearranges(std::size_t row, int line) {
    if (header_.text.empty()) return false;
    std::size_t found = 0, strange = 0;
    std::vector<std::size_t> place(raw_.columns.size(), cells_.size());
    for (std::size_t at = 0; at < cells_.size(); ++at) {
      const auto column = std::ranges::find(raw_.columns, plain_word(cells_.text[at]),
                                            [](const RawColumn& c) { return plain_word(c.header); });
      if (cells_.text[at].empty()) continue;
      if (column == raw_.columns.end()) {
        strange += read_header(cells_.text[at]).kind != ChannelKind::unknown;
        continue;
      }
      place[static_cast<std::size_t>(column - raw_.columns.begin())] = at;
      ++found;
    }
    if (found < 2) return false;
    if (strange > 0) {
      throw Error("line " + std::to_string(line), "a second header with other columns stands here",
                  "one table a file: split the file before this line");
    }
    raw_.arrangements.push_back({row + 1, place});
    return true;
  }

  // A file that ends within a row was cut off while it was written: its last cell may be half a number.
  void look_at_end() {
    if (!table_.ends_within_line || raw_.sweeps < 3 || last_row_ + 1 != table_.rows.size()) return;
    table_.cut(last_row_, cells_);
    Cells before;
    table_.cut(last_row_ - 1, before);
    const std::size_t last = cells_.size() - 1;
    const auto decimals = [](std::string_view cell) {
      const auto mark = cell.find_last_of(".,");
      return mark == std::string_view::npos ? 0 : cell.size() - mark - 1;
    };
    const bool short_row = cells_.size() < before.size();
    const bool lost_decimals = decimals(cells_.at(last)) < decimals(before.at(last));
    if (!short_row && !lost_decimals) return;
    const std::vector<std::size_t>& place = raw_.arrangements.back().place;
    const auto column = std::ranges::find(place, last);
    if (column == place.end() || cells_.at(last).empty()) return;
    raw_.columns[static_cast<std::size_t>(column - place.begin())].cut_off = std::string(cells_.at(last));
    raw_.notes.push_back({table_.rows[last_row_].line, "the file ends within this row; its last cell \"" +
                                                           shortened(cells_.at(last)) +
                                                           "\" may be half a number and is left out"});
  }

  void tell(std::size_t count, int line, const std::string& one, const std::string& many, const std::string& what) {
    if (count == 0) return;
    raw_.notes.push_back({line, std::to_string(count) + " " + (count == 1 ? one : many) + what +
                                    (count > 1 ? " (the first stands here)" : "")});
  }

  const Table& table_;
  RawLog& raw_;
  Cells header_, cells_;
  std::size_t short_ = 0, beyond_ = 0, wordy_ = 0, last_row_ = 0;
  int short_line_ = 0, beyond_line_ = 0, wordy_line_ = 0;
};

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

std::size_t RawLog::column_named(std::string_view name) const {
  return static_cast<std::size_t>(std::ranges::find(columns.begin() + 1, columns.end(), name, &RawColumn::header) -
                                  columns.begin());
}

RawLog find_columns(const Table& table, const LogOptions& options) {
  if (auto raw = find_long_form(table, options)) return *raw;
  RawLog raw;
  const auto header = find_header(table, options);
  if (!header && !options.header_line) refuse_turned_table(table, options);
  std::size_t first = 0, width = table.usual_width;
  if (header) {
    const Cells row = cells_of(table, *header);
    raw.header_line = table.rows[*header].line;
    first = *header + 1;
    width = row.size();
    for (std::size_t k = 0; k < width; ++k)
      raw.columns.push_back({static_cast<int>(k) + 1, std::string(row.text[k]), ""});
  } else {
    while (first < table.rows.size() && !is_data(cells_of(table, first), table)) ++first;
    for (std::size_t k = 0; k < width; ++k) raw.columns.push_back({static_cast<int>(k) + 1, "", ""});
  }
  if (header && first < table.rows.size() && is_unit_row(cells_of(table, first))) {
    const Cells row = cells_of(table, first);
    raw.unit_line = table.rows[first++].line;
    for (std::size_t k = 0; k < std::min(width, row.size()); ++k) {
      if (!is_value(row.text[k])) raw.columns[k].unit = std::string(row.text[k]);
    }
  }
  check_width(table, first, width, raw.header_line);
  raw.first_row = first;
  Survey(table, raw, header).run();
  if (raw.sweeps == 0) check_width(table, table.rows.size(), width, raw.header_line);
  return raw;
}

}  // namespace railseep
