#include <algorithm>
#include <map>

#include "log/cell.hpp"
#include "log/find_columns.hpp"
#include "log/log_unit.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

constexpr std::size_t nowhere = static_cast<std::size_t>(-1);

// Which cell of a row is the time, the name of the channel, its value, its unit.
struct LongColumns {
  std::size_t time = nowhere, name = nowhere, value = nowhere, unit = nowhere;
  bool complete() const { return time != nowhere && name != nowhere && value != nowhere; }
};

bool one_of(const std::string& word, std::initializer_list<const char*> list) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

LongColumns read_heading(const Row& row) {
  LongColumns found;
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    const std::string word = plain_word(row.cells[i]);
    if (one_of(word, {"name", "parameter", "channel", "signal", "pid", "item", "sensor"}))
      found.name = i;
    else if (one_of(word, {"value", "reading", "data"}))
      found.value = i;
    else if (one_of(word, {"unit", "units"}))
      found.unit = i;
    else if (read_header(row.cells[i]).kind == ChannelKind::time)
      found.time = i;
  }
  return found;
}

// Without a heading: names of channels that come back row after row, a time before them, a value behind.
LongColumns read_rows(const Table& table) {
  if (table.rows.size() < 3 || table.usual_width < 3) return {};
  for (std::size_t name = 1; name < std::min<std::size_t>(table.usual_width, 8); ++name) {
    std::size_t known = 0, fit = 0;
    for (const Row& row : table.rows) {
      if (row.cells.size() <= name + 1) continue;
      const bool is_name = !is_value(row.cells[name]);
      known += is_name && read_header(row.cells[name]).kind != ChannelKind::unknown;
      fit += is_name && is_value(row.cells[name - 1]) && is_value(row.cells[name + 1]);
    }
    if (2 * known <= table.rows.size() || 2 * fit <= table.rows.size()) continue;
    return {name - 1, name, name + 1, table.usual_width > name + 2 ? name + 2 : nowhere};
  }
  return {};
}

std::string cell_at(const Row& row, std::size_t i) { return i < row.cells.size() ? row.cells[i] : std::string(); }

}  // namespace

std::optional<RawLog> find_long_form(const Table& table, const LogOptions& options) {
  if (!options.long_form.value_or(true)) return std::nullopt;
  RawLog raw;
  raw.long_form = true;
  LongColumns at;
  std::size_t first = 0;
  for (; first < std::min<std::size_t>(table.rows.size(), 40) && !at.complete(); ++first) {
    at = read_heading(table.rows[first]);
    if (at.complete()) raw.header_line = table.rows[first].line;
  }
  if (!at.complete()) {
    at = read_rows(table);
    first = 0;
  }
  if (!at.complete()) {
    if (!options.long_form) return std::nullopt;
    throw Error("", "the file has not the long form it was said to have",
                "columns named \"time\", \"name\", \"value\" and, if there are units, \"unit\"");
  }

  std::map<std::string, std::size_t> places;
  raw.columns.push_back({1, raw.header_line ? "time" : "", "", {}});
  for (const Row& row : table.rows) {
    if (row.line <= raw.header_line || (raw.header_line == 0 && !is_value(cell_at(row, at.time)))) continue;
    const std::string name = cell_at(row, at.name);
    if (name.empty() || row.cells.size() <= at.value) {
      raw.notes.push_back({row.line, "the row has no name or no value; it is left out"});
      continue;
    }
    const std::size_t sweep = raw.columns[0].cells.size();
    raw.columns[0].cells.push_back({sweep, row.line, cell_at(row, at.time), ""});
    const auto [place, is_new] = places.try_emplace(name, raw.columns.size());
    if (is_new) raw.columns.push_back({static_cast<int>(raw.columns.size()) + 1, name, "", {}});
    raw.columns[place->second].cells.push_back({sweep, row.line, row.cells[at.value], cell_at(row, at.unit)});
  }
  raw.columns[0].header = "time";
  return raw;
}

}  // namespace railseep
