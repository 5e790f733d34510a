#include "log/interpret_columns.hpp"

#include <algorithm>
#include <set>

#include "log/cell.hpp"
#include "log/guess_unit.hpp"
#include "log/log_unit.hpp"
#include "log/time_axis.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

std::string called(const ColumnLayout& column) {
  return column.header.empty() ? "column " + std::to_string(column.number)
                               : "column \"" + shortened(column.header) + "\"";
}

StyleEvidence evidence_of(const RawColumn& column) {
  StyleEvidence evidence;
  for (const RawCell& cell : column.cells) evidence.weigh(cell.text);
  return evidence;
}

void choose_styles(const RawLog& raw, const LogOptions& options, char separator, std::vector<ColumnLayout>& columns) {
  StyleEvidence file;
  std::vector<StyleEvidence> evidence;
  for (const RawColumn& column : raw.columns) {
    evidence.push_back(evidence_of(column));
    file.point += evidence.back().point;
    file.comma += evidence.back().comma;
  }
  for (std::size_t k = 0; k < columns.size(); ++k) {
    const ColumnOptions* told = options_of(options, columns[k].number, columns[k].header);
    columns[k].numbers = guess_style(evidence[k], file, separator);
    if (options.numbers) columns[k].numbers = *options.numbers;
    if (told && told->numbers) columns[k].numbers = *told->numbers;
  }
}

void choose_kind(ColumnLayout& column, const LogOptions& options, std::vector<Note>& notes) {
  const HeaderReading reading = read_header(column.header);
  column.kind = reading.kind;
  column.kind_why = reading.kind == ChannelKind::unknown ? "no known header" : "header";
  column.unit = reading.unit;
  column.unit_why = reading.unit.empty() ? "" : "header";
  if (reading.may_be_fuel) {
    notes.push_back({0, called(column) + " may be oil, fuel or nothing on this engine; it is left out unless told"});
  }
  const ColumnOptions* told = options_of(options, column.number, column.header);
  if (told && told->kind) {
    column.kind = *told->kind;
    column.kind_why = "told";
  }
  if (told && told->unit) {
    column.unit = *told->unit;
    column.unit_why = "told";
  }
}

// Does the written unit fit the channel? Volts make a pressure its sensor's voltage, a current makes a duty a current.
// A known unit that does not fit says that the column is something else: it is left out.
bool settle_unit(ColumnLayout& column, std::vector<Note>& notes) {
  const auto unit = find_log_unit(column.unit);
  const std::string kind(kind_name(column.kind));
  if (unit && unit_fits(column.kind, unit->quantity)) {
    if (unit->quantity == Quantity::voltage && column.kind == ChannelKind::rail_pressure) {
      column.kind = ChannelKind::rail_pressure_volts;
    }
    if (unit->quantity == Quantity::current && column.kind == ChannelKind::regulator_duty) {
      column.kind = ChannelKind::regulator_current;
    }
    column.unit = unit->symbol;
    const bool mercury = unit->symbol == "inHg" && column.kind != ChannelKind::base_oil_pressure;
    if (mercury) notes.push_back({0, called(column) + " is in inches of mercury: likely a mistake of the tool"});
    return true;
  }
  if (column.unit_why == "told") {
    throw Error(called(column), "the unit \"" + column.unit + "\" does not fit " + kind,
                "a unit such as in " + std::string(info(kind_quantity(column.kind)).example));
  }
  const std::string trouble = called(column) + ": the unit \"" + shortened(column.unit) + "\" does not fit " + kind;
  notes.push_back({0, trouble + (unit ? "; it is left out unless told" : "; the unit is guessed")});
  if (unit) column.kind = ChannelKind::unknown;
  return unit.has_value();
}

void unit_from_cells(const RawColumn& raw, ColumnLayout& column, std::vector<double>& numbers) {
  for (const RawCell& cell : raw.cells) {
    const Cell read = read_cell(cell.text, column.numbers);
    if (read.what != Cell::What::number) continue;
    numbers.push_back(read.number);
    if (!column.unit.empty()) continue;
    column.unit = read.unit.empty() ? cell.unit : std::string(read.unit);
    if (!column.unit.empty()) column.unit_why = "cells";
  }
}

void choose_unit(const RawColumn& raw, ColumnLayout& column, const LogOptions& options, std::vector<Note>& notes) {
  if (column.unit.empty() && !raw.unit.empty()) {
    column.unit = raw.unit;
    column.unit_why = "row of units";
  }
  std::vector<double> numbers;
  unit_from_cells(raw, column, numbers);
  if (!column.unit.empty() && settle_unit(column, notes)) return;
  if (column.kind == ChannelKind::time) {
    column.unit.clear();  // time_axis guesses it from the steps
    return;
  }
  if (const ColumnOptions* told = options_of(options, column.number, column.header)) {
    for (double& number : numbers) number *= told->factor;
  }
  const UnitGuess guess = guess_unit(column.kind, numbers);
  column.unit = guess.unit;
  column.unit_why = guess.why;
  column.certain = guess.certain;
  if (guess.unit == "V" && column.kind == ChannelKind::rail_pressure) column.kind = ChannelKind::rail_pressure_volts;
  if (!guess.certain) notes.push_back({0, called(column) + ": " + guess.why + "; say so if it is another unit"});
}

// A file without headers: the leftmost column, if its numbers only grow, is the time.
void find_bare_time(const RawLog& raw, std::vector<ColumnLayout>& columns) {
  if (raw.header_line != 0 || columns.empty()) return;
  const bool has_time = std::any_of(columns.begin(), columns.end(), [](const ColumnLayout& c) {
    return c.kind == ChannelKind::time || c.kind == ChannelKind::sample_index;
  });
  if (has_time || columns[0].kind != ChannelKind::unknown) return;
  if (!never_decreases(raw.columns[0], columns[0].numbers)) return;
  columns[0].kind = ChannelKind::time;
  columns[0].kind_why = "leftmost, never decreases";
}

// Every option must find its column: a slip there must not pass in silence.
void check_options(const LogOptions& options, const RawLog& raw) {
  std::vector<std::string> headers;
  for (const RawColumn& column : raw.columns) headers.push_back(column.header);
  for (const ColumnOptions& told : options.columns) {
    LogOptions alone;
    alone.columns = {told};
    const bool found = std::any_of(raw.columns.begin(), raw.columns.end(), [&](const RawColumn& column) {
      return options_of(alone, column.number, column.header) != nullptr;
    });
    if (found) continue;
    const std::string nearest = nearest_word(told.column, headers);
    throw Error("", "there is no column \"" + told.column + "\"",
                (nearest.empty() ? "" : "did you mean \"" + nearest + "\"? ") +
                    "write a header of the file, or a number from 1 to " + std::to_string(raw.columns.size()));
  }
}

bool is_measured(ChannelKind kind) { return kind < ChannelKind::time; }

}  // namespace

std::vector<ColumnLayout> interpret_columns(RawLog& raw, const LogOptions& options, char separator) {
  check_options(options, raw);
  std::vector<ColumnLayout> columns;
  for (const RawColumn& column : raw.columns) {
    ColumnLayout layout;
    layout.number = column.number;
    layout.header = column.header;
    columns.push_back(layout);
  }
  choose_styles(raw, options, separator, columns);
  for (ColumnLayout& column : columns) choose_kind(column, options, raw.notes);
  find_bare_time(raw, columns);

  std::set<ChannelKind> seen;
  for (std::size_t k = 0; k < columns.size(); ++k) {
    if (is_measured(columns[k].kind) || columns[k].kind == ChannelKind::time) {
      choose_unit(raw.columns[k], columns[k], options, raw.notes);
    }
    const bool twice = is_measured(columns[k].kind) && !seen.insert(columns[k].kind).second;
    if (twice) {
      raw.notes.push_back({0, called(columns[k]) + " is one more " + std::string(kind_name(columns[k].kind)) +
                                  "; the first is used unless told"});
    }
  }
  return columns;
}

void require_known_column(const std::vector<ColumnLayout>& columns) {
  if (std::any_of(columns.begin(), columns.end(), [](const auto& c) { return is_measured(c.kind); })) return;
  std::string headers;
  for (std::size_t k = 0; k < std::min<std::size_t>(columns.size(), 12); ++k) {
    headers += (k ? ", \"" : " \"") + shortened(columns[k].header) + "\"";
  }
  throw Error("", "none of the " + std::to_string(columns.size()) + " columns has a known header:" + headers,
              "headers such as " + known_headers() + ", or an option that says what a column is");
}

}  // namespace railseep
