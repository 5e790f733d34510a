#include "log/split_table.hpp"

#include <algorithm>
#include <cstring>
#include <map>
#include <utility>

#include "log/cell.hpp"

namespace railseep {
namespace {

constexpr std::size_t looked_at = 400;  // lines from which the separator is guessed
constexpr int longest_quoted_cell = 4;  // lines that a quoted cell may reach over
constexpr std::string_view blanks = " \t";

// One cell from `at` on, up to the separator; at then stands behind it, or at npos at the end of the row.
std::string_view quoted_cell(std::string_view row, std::size_t& at, char separator, Cells& cells) {
  std::string& cell = cells.rebuilt.emplace_back();
  bool quoted = false;
  std::size_t i = at;
  for (; i < row.size(); ++i) {
    const char c = row[i];
    if (c == '"' && quoted && i + 1 < row.size() && row[i + 1] == '"') {
      cell += c;
      ++i;
    } else if (c == '"' && (quoted || without_blanks(cell).empty())) {
      quoted = !quoted;
    } else if (c == separator && !quoted) {
      break;
    } else {
      cell += c == '\n' ? ' ' : c;
    }
  }
  at = i < row.size() ? i + 1 : std::string_view::npos;
  return without_blanks(cell);
}

// Quotes hold a separator together; "" inside them is one quote.
void cut_at_separators(std::string_view row, char separator, Cells& cells) {
  const bool has_quotes = std::memchr(row.data(), '"', row.size()) != nullptr;
  for (std::size_t at = 0; at != std::string_view::npos;) {
    if (has_quotes) {
      cells.text.push_back(quoted_cell(row, at, separator, cells));
      continue;
    }
    const std::size_t end = row.find(separator, at);
    cells.text.push_back(without_blanks(row.substr(at, end == std::string_view::npos ? end : end - at)));
    at = end == std::string_view::npos ? end : end + 1;
  }
}

// Runs of blanks between cells; where two blanks or more stand somewhere in the row, single ones belong to a cell.
void cut_at_blanks(std::string_view row, Cells& cells) {
  row = without_blanks(row);
  const bool wide = row.find("  ") != std::string_view::npos;
  while (!row.empty()) {
    std::size_t end = row.find_first_of(blanks);
    while (wide && end != std::string_view::npos && row[end] == ' ' && row.find_first_of(blanks, end + 1) != end + 1) {
      end = row.find_first_of(blanks, end + 1);
    }
    cells.text.push_back(without_blanks(row.substr(0, end)));
    row = end == std::string_view::npos ? std::string_view() : without_blanks(row.substr(end));
  }
}

void cut_row(std::string_view row, char separator, Cells& cells) {
  cells.text.clear();
  cells.rebuilt.clear();
  if (separator == ' ') {
    cut_at_blanks(row, cells);
  } else if (!row.empty()) {
    cut_at_separators(row, separator, cells);
  }
}

// Does the row end inside quotes that were opened at the beginning of a cell?
bool ends_in_quotes(std::string_view row) {
  bool quoted = false, fresh = true;
  for (const char c : row) {
    if (c == '"' && (quoted || fresh)) quoted = !quoted;
    if (!quoted) fresh = c == ',' || c == ';' || c == '\t' || c == '|' || (fresh && c == ' ');
  }
  return quoted;
}

// Is the first quote of the line followed by a separator or the line's end, as one that closes a cell is?
bool closes_a_cell(std::string_view line) {
  const std::string_view rest = without_blanks(line.substr(line.find('"') + 1));
  return rest.empty() || std::string_view(",;\t|").find(rest.front()) != std::string_view::npos;
}

// A header such as "Oil<line end>pressure (psi)" in quotes reaches over several lines. A quote that is never closed
// does not. Returns where the last of the lines ends, 0 where nothing is to be joined.
std::size_t end_of_joined_lines(std::string_view text, std::size_t end) {
  for (int k = 1; k < longest_quoted_cell && end < text.size(); ++k) {
    const std::size_t begin = end + 1;
    end = std::min(text.find('\n', begin), text.size());
    const std::string_view next = text.substr(begin, end - begin);
    if (next.find('"') == std::string_view::npos) continue;
    if (!closes_a_cell(next)) return 0;
    if (!ends_in_quotes(text.substr(0, end))) return end;
  }
  return 0;
}

bool is_blank(std::string_view row, char separator) {
  return std::all_of(row.begin(), row.end(),
                     [separator](char c) { return c == separator || c == ' ' || c == '\t' || c == '"'; });
}

std::vector<RowPlace> rows_of(std::string_view text) {
  std::vector<RowPlace> rows;
  rows.reserve(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) + 1);
  int line = 1;
  for (std::size_t begin = 0; begin < text.size(); ++line) {
    std::size_t end = std::min(text.find('\n', begin), text.size());
    const int first_line = line;
    const std::string_view row = text.substr(begin, end - begin);
    if (std::memchr(row.data(), '"', row.size()) != nullptr && ends_in_quotes(row)) {
      if (const std::size_t joined = end_of_joined_lines(text.substr(begin), end - begin)) {
        line += static_cast<int>(
            std::count(text.begin() + static_cast<long>(end), text.begin() + static_cast<long>(begin + joined), '\n'));
        end = begin + joined;
      }
    }
    if (!is_blank(text.substr(begin, end - begin), ' ')) {
      rows.push_back({static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(end - begin), first_line});
    }
    begin = end + 1;
  }
  return rows;
}

struct Width {
  std::size_t cells = 1;  // that most lines of data have
  double score = 0;       // lines that have so many, each counted by the share of its cells that are values
};

// One cell is no sign of a separator. Preambles would mislead about the shape: a line counts when half of it looks like
// values.
Width usual_width(std::string_view text, const std::vector<RowPlace>& rows, char separator) {
  std::map<std::size_t, double> scores;
  Cells cells;
  for (std::size_t i = 0; i < std::min(rows.size(), looked_at); ++i) {
    cut_row(text.substr(rows[i].begin, rows[i].length), separator, cells);
    std::size_t filled = 0, values = 0;
    for (const std::string_view cell : cells.text) {
      filled += !cell.empty();
      values += !cell.empty() && is_value(cell);
    }
    if (values > 0 && 2 * values >= filled) {
      scores[cells.size()] += static_cast<double>(values) / static_cast<double>(filled);
    }
  }
  Width best;
  for (const auto& [width, score] : scores) {
    if (width > 1 && score >= best.score) best = {width, score};
  }
  return best;
}

char guess_separator(std::string_view text, const std::vector<RowPlace>& rows) {
  char best = ',';
  double most = 0;
  for (const char separator : {'\t', ';', ',', '|', ' '}) {
    const double score = usual_width(text, rows, separator).score;
    if (score > most * (1 + 1e-9)) {
      most = score;
      best = separator;
    }
  }
  return best;
}

}  // namespace

std::string_view without_blanks(std::string_view text) {
  constexpr std::string_view no_break_space = "\xC2\xA0";
  for (bool again = true; again;) {
    again = false;
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
    if (text.starts_with(no_break_space)) text.remove_prefix(2), again = true;
    if (text.ends_with(no_break_space)) text.remove_suffix(2), again = true;
  }
  return text;
}

std::string shortened(std::string_view text) {
  constexpr std::size_t longest = 40;
  if (text.size() <= longest) return std::string(text);
  std::size_t end = longest;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80) --end;  // never inside a UTF-8 character
  return std::string(text.substr(0, end)) + "...";
}

void Table::cut(std::size_t row, Cells& cells) const {
  cut_row(std::string_view(text).substr(rows[row].begin, rows[row].length), separator, cells);
}

Table split_table(std::string text, std::optional<char> separator) {
  Table table;
  table.text = std::move(text);
  table.rows = rows_of(table.text);
  table.ends_within_line = !table.text.empty() && table.text.back() != '\n';

  // "sep=;" on the first line is a word to spreadsheets.
  if (!table.rows.empty()) {
    const std::string_view first = std::string_view(table.text).substr(table.rows[0].begin, table.rows[0].length);
    if (first.starts_with("sep=") && first.size() == 5) {
      if (!separator) separator = first[4];
      table.rows.erase(table.rows.begin());
    }
  }
  table.separator = separator.value_or(guess_separator(table.text, table.rows));
  table.usual_width = usual_width(table.text, table.rows, table.separator).cells;
  std::erase_if(table.rows, [&table](const RowPlace& row) {
    return is_blank(std::string_view(table.text).substr(row.begin, row.length), table.separator);
  });
  return table;
}

}  // namespace railseep
