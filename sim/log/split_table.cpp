#include "log/split_table.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "log/cell.hpp"

namespace railseep {
namespace {

struct Line {
  int number;
  std::string_view text;
};

std::vector<Line> lines_of(std::string_view text) {
  std::vector<Line> lines;
  for (int number = 1; !text.empty(); ++number) {
    const std::string_view line = text.substr(0, text.find('\n'));
    text.remove_prefix(std::min(text.size(), line.size() + 1));
    if (!without_blanks(line).empty()) lines.push_back({number, line});
  }
  return lines;
}

// Quotes hold a separator together and never reach over the end of a line; "" inside them is one quote.
std::vector<std::string> cells_of(std::string_view line, char separator) {
  std::vector<std::string> cells;
  std::string cell;
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '"' && quoted && i + 1 < line.size() && line[i + 1] == '"') {
      cell += c;
      ++i;
    } else if (c == '"' && (quoted || without_blanks(cell).empty())) {
      quoted = !quoted;
    } else if (c == separator && !quoted) {
      cells.emplace_back(without_blanks(cell));
      cell.clear();
    } else {
      cell += c;
    }
  }
  cells.emplace_back(without_blanks(cell));
  return cells;
}

// Does at least half of what stands in the line look like values? Preambles would mislead about the shape.
bool is_like_data(const std::vector<std::string>& cells) {
  std::size_t filled = 0, values = 0;
  for (const std::string& cell : cells) {
    filled += !cell.empty();
    values += !cell.empty() && is_value(cell);
  }
  return values > 0 && 2 * values >= filled;
}

// The commonest number of cells a line of data has, and how many lines have it. One cell is no sign of a separator.
std::pair<std::size_t, std::size_t> usual_width(const std::vector<Line>& lines, char separator) {
  std::map<std::size_t, std::size_t> counts;
  for (std::size_t i = 0; i < std::min<std::size_t>(lines.size(), 400); ++i) {
    const std::vector<std::string> cells = cells_of(lines[i].text, separator);
    if (is_like_data(cells)) ++counts[cells.size()];
  }
  std::pair<std::size_t, std::size_t> best{1, 0};
  for (const auto& [width, count] : counts) {
    if (width > 1 && count >= best.second) best = {width, count};
  }
  return best;
}

char guess_separator(const std::vector<Line>& lines) {
  char best = ',';
  std::size_t most = 0;
  for (const char separator : {'\t', ';', ','}) {
    const std::size_t count = usual_width(lines, separator).second;
    if (count > most) {
      most = count;
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

Table split_table(std::string_view text, std::optional<char> separator) {
  std::vector<Line> lines = lines_of(text);

  // "sep=;" on the first line is a word to spreadsheets.
  if (!lines.empty() && lines.front().text.starts_with("sep=") && lines.front().text.size() == 5) {
    if (!separator) separator = lines.front().text[4];
    lines.erase(lines.begin());
  }
  Table table;
  table.separator = separator.value_or(guess_separator(lines));
  table.usual_width = usual_width(lines, table.separator).first;
  for (const Line& line : lines) {
    Row row{line.number, cells_of(line.text, table.separator)};
    const bool blank = std::all_of(row.cells.begin(), row.cells.end(), [](const auto& c) { return c.empty(); });
    if (!blank) table.rows.push_back(std::move(row));
  }
  return table;
}

}  // namespace railseep
