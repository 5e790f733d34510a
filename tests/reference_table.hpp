#pragma once

#include <charconv>
#include <fstream>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace railseep {

/// One row of a published table; knows its columns by name and where it stands, so that a failure can say so.
class ReferenceRow {
 public:
  using Cells = std::map<std::string, std::string, std::less<>>;

  ReferenceRow(std::string place, Cells cells) : place_(std::move(place)), cells_(std::move(cells)) {}

  const std::string& text(std::string_view column) const {
    const auto cell = cells_.find(column);
    if (cell == cells_.end()) throw std::runtime_error(place_ + ": there is no column \"" + std::string(column) + "\"");
    return cell->second;
  }

  double operator[](std::string_view column) const {
    const std::string& cell = text(column);
    const char* const end = cell.data() + cell.size();
    double value = 0;
    const auto result = std::from_chars(cell.data(), end, value);
    if (result.ec != std::errc() || result.ptr != end)
      throw std::runtime_error(place_ + ", column " + std::string(column) + ": \"" + cell + "\" is not a number");
    return value;
  }

 private:
  std::string place_;
  Cells cells_;
};

inline std::vector<std::string> split_at_commas(const std::string& line) {
  std::vector<std::string> cells(1);
  for (const char c : line) {
    if (c == ',')
      cells.emplace_back();
    else
      cells.back() += c;
  }
  return cells;
}

/// '#' lines (title, edition, provenance, units), one line of column names, then rows of cells between commas.
/// @throws std::runtime_error with file and line when the table is empty or ragged: no test passes over nothing
inline std::vector<ReferenceRow> parse_reference_table(const std::string& name, const std::string& content) {
  std::vector<ReferenceRow> rows;
  std::vector<std::string> columns;
  std::istringstream lines(content);
  std::string line;
  for (int number = 1; std::getline(lines, line); ++number) {
    if (line.empty() || line[0] == '#') continue;
    const std::vector<std::string> cells = split_at_commas(line);
    if (columns.empty()) {
      columns = cells;
      continue;
    }
    const std::string place = name + ", line " + std::to_string(number);
    if (cells.size() != columns.size())
      throw std::runtime_error(place + ": " + std::to_string(cells.size()) + " cells under " +
                               std::to_string(columns.size()) + " columns");
    ReferenceRow::Cells named;
    for (std::size_t i = 0; i < cells.size(); ++i) named[columns[i]] = cells[i];
    rows.emplace_back(place, std::move(named));
  }
  if (rows.empty()) throw std::runtime_error(name + ": there are no rows");
  return rows;
}

/// The rows of tests/reference/<name>.
inline std::vector<ReferenceRow> reference_table(const std::string& name) {
  const std::string path = std::string(RAILSEEP_SOURCE_DIR) + "/tests/reference/" + name;
  std::ifstream file(path);
  if (!file) throw std::runtime_error("cannot open reference table " + path);
  std::ostringstream content;
  content << file.rdbuf();
  return parse_reference_table(name, content.str());
}

}  // namespace railseep
