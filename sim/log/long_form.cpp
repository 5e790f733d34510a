#include <algorithm>
#include <map>

#include "log/find_columns.hpp"
#include "log/header_reading.hpp"
#include "log/header_words.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

constexpr std::size_t nowhere = static_cast<std::size_t>(-1);
constexpr std::size_t rows_looked_at = 400;  // rows from which a form without a heading is told

// Which cell of a row is the time, the name of the channel, its value, its unit.
struct LongColumns {
  std::size_t time = nowhere, name = nowhere, value = nowhere, unit = nowhere;
  bool complete() const { return time != nowhere && name != nowhere && value != nowhere; }
};

bool one_of(const std::string& word, std::initializer_list<const char*> list) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

LongColumns read_heading(const Cells& row) {
  LongColumns found;
  for (std::size_t i = 0; i < row.size(); ++i) {
    const std::string word = plain_word(row.text[i]);
    if (one_of(word, {"name", "parameter", "channel", "signal", "pid", "item", "sensor", "kanal", "messgrosse",
                      "parametre", "parametro"}))
      found.name = i;
    else if (one_of(word, {"value", "reading", "data", "wert", "messwert", "valeur", "valor"}))
      found.value = i;
    else if (one_of(word, {"unit", "units", "einheit", "unite", "unidad"}))
      found.unit = i;
    else if (read_header(row.text[i]).kind == ChannelKind::time)
      found.time = i;
  }
  return found;
}

// Without a heading: names of channels that come back row after row, a time before them, a value behind.
LongColumns read_rows(const Table& table) {
  if (table.rows.size() < 3 || table.usual_width < 3) return {};
  const std::size_t rows = std::min(table.rows.size(), rows_looked_at);
  Cells row;
  for (std::size_t name = 1; name < std::min<std::size_t>(table.usual_width, 8); ++name) {
    std::size_t known = 0, fit = 0;
    for (std::size_t i = 0; i < rows; ++i) {
      table.cut(i, row);
      if (row.size() <= name + 1) continue;
      const bool is_name = !is_value(row.text[name]);
      known += is_name && read_header(row.text[name]).kind != ChannelKind::unknown;
      fit += is_name && is_value(row.text[name - 1]) && is_value(row.text[name + 1]);
    }
    if (2 * known <= rows || 2 * fit <= rows) continue;
    return {name - 1, name, name + 1, table.usual_width > name + 2 ? name + 2 : nowhere};
  }
  return {};
}

// The columns in the order of their first appearance, and the rows that hold none.
void collect_rows(const Table& table, RawLog& raw) {
  std::map<std::string, std::size_t, std::less<>> places;
  Cells row;
  raw.columns.push_back({1, "time", ""});
  for (std::size_t i = raw.first_row; i < table.rows.size(); ++i) {
    table.cut(i, row);
    const int line = table.rows[i].line;
    const std::string_view name = row.at(raw.long_places.name);
    if (raw.header_line == 0 && !is_value(row.at(raw.long_places.time))) {
      raw.rows_left_out.push_back(i);
      continue;
    }
    if (name.empty() || row.size() <= raw.long_places.value) {
      raw.notes.push_back({line, "the row has no name or no value; it is left out"});
      raw.rows_left_out.push_back(i);
      continue;
    }
    std::size_t column = 0;
    if (const auto known = places.find(name); known != places.end()) {
      column = known->second;
    } else {
      column = raw.columns.size();
      raw.columns.push_back({static_cast<int>(column) + 1, std::string(name), ""});
      places.emplace(name, column);
    }
    raw.columns[0].style.weigh(row.at(raw.long_places.time));
    raw.columns[column].style.weigh(row.at(raw.long_places.value));
    raw.lines.push(line);
    ++raw.sweeps;
  }
}

}  // namespace

std::optional<RawLog> find_long_form(const Table& table, const LogOptions& options) {
  if (!options.long_form.value_or(true)) return std::nullopt;
  RawLog raw;
  raw.long_form = true;
  LongColumns at;
  Cells row;
  std::size_t first = 0;
  for (; first < std::min<std::size_t>(table.rows.size(), 40) && !at.complete(); ++first) {
    table.cut(first, row);
    at = read_heading(row);
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
  raw.first_row = first;
  raw.long_places = {at.time, at.name, at.value, at.unit};
  collect_rows(table, raw);
  return raw;
}

}  // namespace railseep
