#include "log/interpret_columns.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "log/guess_unit.hpp"
#include "log/header_reading.hpp"
#include "log/header_words.hpp"
#include "log/log_unit.hpp"
#include "log/time_axis.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

constexpr double running_speed = 400 * std::numbers::pi / 30;  // [rad/s]; no starter turns an engine so fast

void choose_kind(ColumnLayout& column, const LogOptions& options, InterpretedLog& log) {
  const HeaderReading reading = read_header(column.header);
  column.kind = reading.kind;
  column.kind_why = reading.kind == ChannelKind::unknown ? "no known header" : "header";
  column.unit = reading.unit;
  if (!reading.unit.empty()) column.unit_why = "header", column.unit_source = UnitSource::written;
  const ColumnOptions* told = options_of(options, column.number, column.header);
  if (told && told->kind) {
    column.kind = *told->kind;
    column.kind_why = "told";
  } else if (reading.may_be_fuel) {
    log.raw.notes.push_back(
        {0, called(column) + " may be oil, fuel or nothing on this engine; it is left out unless told"});
  }
  if (column.kind == ChannelKind::time && options.time_unit) {
    column.unit = *options.time_unit;
    column.unit_why = "told", column.unit_source = UnitSource::told;
  }
  if (told && told->unit) {
    column.unit = *told->unit;
    column.unit_why = "told", column.unit_source = UnitSource::told;
  }
  if (column.unit.empty() && !reading.strange_unit.empty() && channel_row(column.kind).decides) {
    column.unit_why = "the header says \"" + reading.strange_unit + "\", which is no unit that is known";
  }
}

// "N" is the engine's speed, unless a column says so in full: then it counts rows.
void settle_single_letter(std::vector<ColumnLayout>& columns, std::vector<Note>& notes) {
  const auto speeds = std::ranges::count(columns, ChannelKind::engine_speed, &ColumnLayout::kind);
  for (ColumnLayout& column : columns) {
    if (speeds < 2 || column.kind != ChannelKind::engine_speed || column.kind_why == "told" ||
        plain_word(column.header) != "n")
      continue;
    column.kind = ChannelKind::sample_index;
    notes.push_back({0, called(column) + " is taken for a number of rows, as another column is the engine's speed"});
  }
}

// Where "1,234" may be 1.234 or 1234 and nothing tells, the answer may depend on it.
void choose_styles(InterpretedLog& log, const LogOptions& options) {
  StyleEvidence file;
  for (const RawColumn& column : log.raw.columns) file.point += column.style.point, file.comma += column.style.comma;
  for (std::size_t k = 0; k < log.layout.size(); ++k) {
    ColumnLayout& column = log.layout[k];
    const ColumnOptions* told = options_of(options, column.number, column.header);
    const StyleGuess guess = guess_style(log.raw.columns[k].style, file);
    column.numbers = told && told->numbers ? *told->numbers : options.numbers.value_or(guess.style);
    const bool is_told = options.numbers || (told && told->numbers);
    if (!guess.open || is_told || !(channel_row(column.kind).decides || column.kind == ChannelKind::time)) continue;
    log.asks.push_back({column.header, called(column) + ": numbers such as \"1,234\" may be 1234 or 1.234",
                        "\"decimal\": \"point\" (1234), or \"comma\" (1.234)",
                        "--decimal point (1234), or --decimal comma (1.234)"});
  }
}

std::vector<ReadAs> how_to_read(const InterpretedLog& log) {
  std::vector<ReadAs> as;
  for (std::size_t k = 0; k < log.layout.size(); ++k) {
    const ColumnLayout& column = log.layout[k];
    const bool maybe_times = k == 0 && log.raw.header_line == 0 && column.kind == ChannelKind::unknown;
    as.push_back({column.numbers, column.kind == ChannelKind::time || maybe_times,
                  column.kind == ChannelKind::sync || column.kind == ChannelKind::unknown});
  }
  return as;
}

// A file without headers: the leftmost column, if its numbers only grow, is the time.
void find_bare_time(InterpretedLog& log) {
  if (log.raw.header_line != 0 || log.layout.empty()) return;
  const bool has_time = std::any_of(log.layout.begin(), log.layout.end(), [](const ColumnLayout& c) {
    return c.kind == ChannelKind::time || c.kind == ChannelKind::sample_index;
  });
  if (has_time || log.layout[0].kind != ChannelKind::unknown || !never_decreases(log.numbers[0])) return;
  log.layout[0].kind = ChannelKind::time;
  log.layout[0].kind_why = "leftmost, never decreases";
}

// Does the written unit fit the channel? Volts make a pressure its sensor's voltage, a current makes a duty a current.
// A known unit that does not fit says that the column is something else: it is left out.
void settle_unit(ColumnLayout& column, InterpretedLog& log) {
  const auto unit = find_log_unit(column.unit);
  const std::string kind(kind_name(column.kind));
  if (unit && unit_fits(column.kind, unit->quantity)) {
    if (unit->quantity == Quantity::voltage && column.kind == ChannelKind::rail_pressure)
      column.kind = ChannelKind::rail_pressure_volts;
    if (unit->quantity == Quantity::current && column.kind == ChannelKind::regulator_duty)
      column.kind = ChannelKind::regulator_current;
    column.unit = unit->name();
    const bool mercury = unit->symbol == "inHg" && column.kind != ChannelKind::base_oil_pressure;
    if (mercury)
      log.raw.notes.push_back({0, called(column) + " is in inches of mercury: likely a mistake of the tool"});
    return;
  }
  if (column.unit_source == UnitSource::told) {
    throw Error(called(column), "the unit \"" + column.unit + "\" does not fit " + kind,
                "a unit such as in " + std::string(info(kind_quantity(column.kind)).example));
  }
  if (unit) {
    log.raw.notes.push_back({0, called(column) + ": the unit \"" + shortened(column.unit) + "\" does not fit " + kind +
                                    "; it is left out unless told"});
    column.kind = ChannelKind::unknown;
    return;
  }
  column.unit_why = "\"" + shortened(column.unit) + "\" is no unit that is known";
  column.unit.clear();
  column.unit_source = UnitSource::none;
}

// From the header, the row of units or the cells.
void take_written_unit(std::size_t k, InterpretedLog& log) {
  ColumnLayout& column = log.layout[k];
  const std::string& row = log.raw.columns[k].unit;
  if (column.unit.empty() && !row.empty() && (find_log_unit(row) || !remark_in(row)) &&
      row.find_first_not_of("-_. ") != std::string::npos) {
    column.unit = row, column.unit_why = "row of units", column.unit_source = UnitSource::written;
  }
  const std::vector<std::string>& cells = log.numbers[k].unit_names;
  if (column.unit.empty() && !cells.empty())
    column.unit = cells.front(), column.unit_why = "cells", column.unit_source = UnitSource::written;
  const bool clock = column.kind == ChannelKind::time && mostly_clock(log.numbers[k]);
  if (column.unit.empty() && clock)
    column.unit = "s", column.unit_why = "times of day", column.unit_source = UnitSource::written;
  if (!column.unit.empty()) settle_unit(column, log);
}

double factor_told(const ColumnLayout& column, const LogOptions& options) {
  const ColumnOptions* told = options_of(options, column.number, column.header);
  return told ? told->factor : 1;
}

/// Guesses units, with what the other columns say. What decides the answer and stays open is asked for.
class UnitGuesses {
 public:
  UnitGuesses(InterpretedLog& log, const LogOptions& options) : log_(log), options_(options) {}

  void run() {
    for (std::size_t k = 0; k < log_.layout.size(); ++k) {
      const ColumnLayout& column = log_.layout[k];
      if (is_measured(column.kind) && column.unit.empty())
        facts_[k] = facts_of(log_.numbers[k].value, factor_told(column, options_));
    }
    guess_temperatures();
    guess_others();
    guess_rail();
  }

 private:
  void take(std::size_t k, const UnitGuess& guess) {
    ColumnLayout& column = log_.layout[k];
    const bool strange = !column.unit_why.empty();  // a unit is written that is not known
    const std::string why = strange ? column.unit_why : guess.why;
    column.unit = guess.unit, column.unit_why = why, column.unit_source = UnitSource::guessed;
    column.certain = guess.certain && !strange;
    if (guess.unit == "V" && column.kind == ChannelKind::rail_pressure) column.kind = ChannelKind::rail_pressure_volts;
    if (column.certain || log_.numbers[k].value.empty()) return;
    // Where the oil's temperature is there, the coolant's does not decide.
    const bool needless = column.kind == ChannelKind::coolant_temperature && column_of(ChannelKind::oil_temperature);
    if (channel_row(column.kind).decides && !needless && (strange || guess.open.size() > 1) && facts_[k].count > 0) {
      log_.asks.push_back(ask_for_unit(column, why, strange ? std::vector<std::string>{} : guess.open));
    } else {
      log_.raw.notes.push_back({0, called(column) + " is read in " + column.unit + ": " + why});
    }
  }

  void guess_temperatures() {
    std::vector<std::size_t> places;
    std::vector<NumberFacts> all;
    for (const auto& [k, facts] : facts_) {
      if (kind_quantity(log_.layout[k].kind) != Quantity::temperature || facts.count == 0) continue;
      places.push_back(k), all.push_back(facts);
    }
    for (const std::size_t k : places) take(k, guess_temperature_unit(all));
  }

  void guess_others() {
    for (const auto& [k, facts] : facts_) {
      const ChannelKind kind = log_.layout[k].kind;
      const bool later = kind == ChannelKind::rail_pressure || kind == ChannelKind::desired_pressure;
      if (!later && log_.layout[k].unit.empty()) take(k, guess_unit(kind, facts));
    }
  }

  std::optional<std::size_t> column_of(ChannelKind kind) const {
    for (std::size_t k = 0; k < log_.layout.size(); ++k)
      if (log_.layout[k].kind == kind) return k;
    return std::nullopt;
  }

  std::optional<double> highest_by_volts() const {
    const auto volts = column_of(ChannelKind::rail_pressure_volts);
    const EngineHints& engine = options_.engine;
    if (!volts || !engine.sensor_zero || !engine.sensor_gain) return std::nullopt;
    const NumberFacts facts = facts_of(log_.numbers[*volts].value, find_log_unit(log_.layout[*volts].unit)->factor);
    if (facts.count == 0) return std::nullopt;
    return std::max(0.0, (facts.most - *engine.sensor_zero) * *engine.sensor_gain);
  }

  // The desired pressure first: it has the narrower bounds, and the actual one then has the same unit.
  void guess_rail() {
    for (const ChannelKind kind : {ChannelKind::desired_pressure, ChannelKind::rail_pressure}) {
      const auto at = column_of(kind);
      if (!at) continue;
      const auto other =
          column_of(kind == ChannelKind::rail_pressure ? ChannelKind::desired_pressure : ChannelKind::rail_pressure);
      BesidePressure beside;
      beside.engine = options_.engine;
      beside.engine_runs = log_.runs(running_speed);
      beside.highest_by_volts = highest_by_volts();
      if (other && log_.layout[*other].unit_source != UnitSource::none && log_.layout[*other].certain)
        beside.other_unit = log_.layout[*other].unit;
      if (other && kind == ChannelKind::rail_pressure && facts_.contains(*other) && facts_[*other].most > 0)
        beside.other = facts_[*other];
      if (log_.layout[*at].unit.empty()) take(*at, guess_rail_unit(kind, facts_[*at], beside));
      // One more column of the kind is not used; it has the unit of the first.
      for (ColumnLayout& column : log_.layout) {
        if (column.kind != kind || !column.unit.empty()) continue;
        column.unit = log_.layout[*at].unit, column.unit_why = "the same as " + called(log_.layout[*at]);
        column.unit_source = UnitSource::guessed, column.certain = false;
        column.kind = log_.layout[*at].kind;
      }
    }
  }

  InterpretedLog& log_;
  const LogOptions& options_;
  std::map<std::size_t, NumberFacts> facts_;  // of the columns without a unit
};

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

void note_what_is_not_read(InterpretedLog& log) {
  std::set<ChannelKind> seen;
  std::string unread;
  for (std::size_t k = 0; k < log.layout.size(); ++k) {
    const ColumnLayout& column = log.layout[k];
    if (is_measured(column.kind) && !seen.insert(column.kind).second) {
      log.raw.notes.push_back({0, called(column) + " is one more " + std::string(kind_name(column.kind)) +
                                      "; the first is used unless told"});
    }
    if (log.numbers[k].hexadecimal_line > 0) {
      log.raw.notes.push_back({log.numbers[k].hexadecimal_line,
                               called(column) + " holds hexadecimal numbers; they are read as whole numbers"});
    }
    if (column.kind == ChannelKind::unknown && !read_header(column.header).may_be_fuel && !column.header.empty()) {
      unread += (unread.empty() ? "\"" : ", \"") + shortened(column.header) + "\"";
    }
  }
  if (!unread.empty()) log.raw.notes.push_back({0, "not read, as their headers are not known: " + unread});
}

}  // namespace

bool InterpretedLog::runs(double from) const {
  for (std::size_t k = 0; k < layout.size(); ++k) {
    if (layout[k].kind != ChannelKind::engine_speed || layout[k].unit.empty()) continue;
    const double needed = from / find_log_unit(layout[k].unit)->factor, impossible = 20 * needed;
    bool before = false;
    for (const double speed : numbers[k].value) {
      const bool now = speed > needed && speed < impossible;
      if (now && before) return true;
      before = now;
    }
  }
  return false;
}

std::string called(const ColumnLayout& column) {
  return column.header.empty() ? "column " + std::to_string(column.number)
                               : "column \"" + shortened(column.header) + "\"";
}

Ask ask_for_unit(const ColumnLayout& column, const std::string& text, const std::vector<std::string>& fit) {
  const std::string name = column.header.empty() ? std::to_string(column.number) : column.header;
  const std::string unit = fit.empty() ? "UNIT" : fit.front();
  std::string others;
  for (std::size_t i = 1; i < fit.size(); ++i) others += (i == 1 ? "; or " : ", ") + fit[i];
  return {name, called(column) + ": " + text,
          R"("columns": [{"column": ")" + name + R"(", "unit": ")" + unit + "\"}]" + others,
          "--unit \"" + name + "=" + unit + "\"" + others};
}

InterpretedLog interpret_columns(const Table& table, RawLog raw, const LogOptions& options) {
  check_options(options, raw);
  InterpretedLog log;
  log.raw = std::move(raw);
  for (const RawColumn& column : log.raw.columns) {
    ColumnLayout layout;
    layout.number = column.number;
    layout.header = column.header;
    log.layout.push_back(layout);
  }
  for (ColumnLayout& column : log.layout) choose_kind(column, options, log);
  settle_single_letter(log.layout, log.raw.notes);
  choose_styles(log, options);
  log.numbers = read_numbers(table, log.raw, how_to_read(log));
  find_bare_time(log);
  for (std::size_t k = 0; k < log.layout.size(); ++k) {
    if (has_unit(log.layout[k].kind)) take_written_unit(k, log);
  }
  UnitGuesses(log, options).run();
  note_what_is_not_read(log);
  return log;
}

void require_known_column(const std::vector<ColumnLayout>& columns) {
  if (std::any_of(columns.begin(), columns.end(), [](const auto& c) { return is_measured(c.kind); })) return;
  std::string headers;
  for (std::size_t k = 0; k < std::min<std::size_t>(columns.size(), 12); ++k)
    headers += (k ? ", \"" : " \"") + shortened(columns[k].header) + "\"";
  throw Error("", "none of the " + std::to_string(columns.size()) + " columns has a known header:" + headers,
              "headers such as " + known_headers() + ", or an option that says what a column is");
}

}  // namespace railseep
