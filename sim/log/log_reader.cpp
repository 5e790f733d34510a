#include "log/log_reader.hpp"

#include <algorithm>
#include <numeric>

#include "log/decode_text.hpp"
#include "log/flags.hpp"
#include "log/header_reading.hpp"
#include "log/interpret_columns.hpp"
#include "log/log_unit.hpp"
#include "log/read_channel.hpp"
#include "log/split_table.hpp"
#include "quantity/error.hpp"
#include "quantity/whole_file.hpp"

namespace railseep {
namespace {

constexpr std::size_t notes_kept = 100;

struct Opened {
  InterpretedLog log;
  LogLayout layout;  // without the columns, which still change
};

Opened open_log(std::string bytes, const LogOptions& options) {
  DecodedText decoded = decode_text(std::move(bytes), options.encoding);
  const Table table = split_table(std::move(decoded.text), options.separator);
  if (table.rows.empty()) throw Error("", "the file is empty", "rows of numbers under a header row");
  Opened opened{interpret_columns(table, find_columns(table, options), options), {}};
  std::vector<Note>& notes = opened.log.raw.notes;
  notes.insert(notes.begin(), decoded.notes.begin(), decoded.notes.end());
  opened.layout.encoding = decoded.encoding;
  opened.layout.separator = table.separator;
  opened.layout.long_form = opened.log.raw.long_form;
  opened.layout.header_line = opened.log.raw.header_line;
  opened.layout.unit_line = opened.log.raw.unit_line;
  return opened;
}

/// The columns of times, read, and which of them each other column follows.
class TimeAxes {
 public:
  TimeAxes(InterpretedLog& log, const LogOptions& options) {
    const std::vector<std::size_t> times = columns_of_times(log);
    if (times.empty()) {
      axes_.push_back(counted(log, options));
      of_column_.assign(log.layout.size(), 0);
      return;
    }
    const bool each_its_own = own_times(log, times);
    const std::vector<std::size_t> used = each_its_own ? times : std::vector<std::size_t>{times.front()};
    std::vector<bool> clock;
    for (const std::size_t k : used) {
      const ColumnOptions* told = options_of(options, log.layout[k].number, log.layout[k].header);
      clock.push_back(mostly_clock(log.numbers[k]));
      axes_.push_back(read_time_axis(log, k, told ? told->factor : 1));
    }
    std::vector<TimeAxis*> all;
    for (TimeAxis& axis : axes_) all.push_back(&axis);
    start_at_zero(all, clock);
    assign(log, used);
    tell(log, times, each_its_own);
  }

  const TimeAxis& of(std::size_t column) const { return axes_[of_column_[column]]; }
  const TimeAxis& first() const { return axes_.front(); }

 private:
  static std::vector<std::size_t> columns_of_times(const InterpretedLog& log) {
    std::vector<std::size_t> times;
    for (std::size_t k = 0; k < log.layout.size(); ++k)
      if (log.layout[k].kind == ChannelKind::time && holds_times(log.numbers[k])) times.push_back(k);
    // A column whose times never change says nothing while another one does.
    std::erase_if(times,
                  [&](std::size_t k) { return times.size() > 1 && steps_of(log.numbers[k].value).forward == 0; });
    return times;
  }

  // Do signals stand between the columns of times, or do those name their signals?
  static bool own_times(const InterpretedLog& log, const std::vector<std::size_t>& times) {
    if (times.size() < 2) return false;
    for (std::size_t k = times.front(); k < times.back(); ++k)
      if (is_measured(log.layout[k].kind)) return true;
    return std::ranges::any_of(times,
                               [&](std::size_t k) { return read_header(log.layout[k].header).owner.has_value(); });
  }

  static TimeAxis counted(const InterpretedLog& log, const LogOptions& options) {
    if (log.raw.long_form)
      throw Error("", "the rows have no readable times", "a time in every row of a file in long form");
    const auto counter = std::ranges::find(log.layout, ChannelKind::sample_index, &ColumnLayout::kind);
    const bool numbered = counter != log.layout.end();
    if (!options.interval) {
      throw Error("", numbered ? "there are sample numbers but no times" : "there is no column of times",
                  "a column \"time\", or the interval between samples as an option, such as \"0.2 s\"");
    }
    if (!(*options.interval > 0)) throw Error("", "the interval between samples is not above 0", "such as \"0.2 s\"");
    return count_time_axis(log,
                           numbered ? &log.numbers[static_cast<std::size_t>(counter - log.layout.begin())] : nullptr,
                           *options.interval);
  }

  // The column of times that names the signal, or the nearest one to its left, or the first.
  void assign(const InterpretedLog& log, const std::vector<std::size_t>& used) {
    for (std::size_t k = 0; k < log.layout.size(); ++k) {
      std::size_t axis = 0;
      for (std::size_t i = 0; i < used.size(); ++i)
        if (used[i] < k) axis = i;
      for (std::size_t i = 0; i < used.size(); ++i)
        if (read_header(log.layout[used[i]].header).owner == log.layout[k].kind) axis = i;
      of_column_.push_back(axis);
    }
  }

  static void tell(InterpretedLog& log, const std::vector<std::size_t>& times, bool each_its_own) {
    if (times.size() < 2) return;
    if (each_its_own) {
      log.raw.notes.push_back({0, "there are " + std::to_string(times.size()) +
                                      " columns of times; each signal goes by the one before it or of its name"});
      return;
    }
    for (std::size_t i = 1; i < times.size(); ++i)
      log.raw.notes.push_back({0, called(log.layout[times[i]]) + " holds times too; those of " +
                                      called(log.layout[times.front()]) + " are used"});
  }

  std::vector<TimeAxis> axes_;
  std::vector<std::size_t> of_column_;  // index of axes_
};

// The sensor's volts become the pressure where it is told how, or where they are all there is and the circuit knows the
// sensor.
void add_pressure_from_volts(Log& log, const LogOptions& options) {
  const Channel* volts = log.find(ChannelKind::rail_pressure_volts);
  if (volts == nullptr || volts->value.empty()) return;
  const auto column = std::ranges::find(log.layout.columns, volts->header, &ColumnLayout::header);
  const ColumnOptions* told =
      options_of(options, column == log.layout.columns.end() ? 0 : column->number, volts->header);
  std::optional<double> zero = told ? told->sensor_zero : std::nullopt, gain = told ? told->sensor_gain : std::nullopt;
  const Channel* shown = log.find(ChannelKind::rail_pressure);
  const bool is_told = zero && gain, alone = shown == nullptr || shown->value.empty();
  if (alone) zero = zero ? zero : options.engine.sensor_zero, gain = gain ? gain : options.engine.sensor_gain;
  if (!(is_told || alone)) return;
  if (!zero || !gain) {
    log.notes.push_back({0,
                         "no rail pressure, but the volts of its sensor: with a circuit, or with \"sensor_zero\" and "
                         "\"pressure_per_volt\" told for the column, they become one"});
    return;
  }
  if (!is_told) {
    log.notes.push_back({0, "no rail pressure: it is computed from column \"" + volts->header +
                                "\" with the circuit's sensor, " + format_quantity(*zero, Quantity::voltage, "V") +
                                " at no pressure and " + format_quantity(*gain, Quantity::pressure, "psi") +
                                " per volt"});
  }
  log.channels.push_back(pressure_from_volts(*volts, *zero, *gain));
}

void add_channels(Log& log, InterpretedLog& columns, const TimeAxes& axes, const LogOptions& options) {
  for (std::size_t k = 0; k < columns.layout.size(); ++k) {
    const ColumnLayout& layout = columns.layout[k];
    if (!is_measured(layout.kind)) continue;
    Channel channel = read_channel(columns, k, axes.of(k), options_of(options, layout.number, layout.header));
    if (channel.value.empty()) log.notes.push_back({0, "column \"" + channel.header + "\" holds no value"});
    log.channels.push_back(std::move(channel));
  }
  if (std::all_of(log.channels.begin(), log.channels.end(), [](const Channel& c) { return c.value.empty(); })) {
    throw Error("", "no column holds a value", "at least one row of numbers");
  }
}

// Without a rail pressure nothing can be matched; a column that is not read may be it.
void ask_for_pressure(Log& log) {
  if (log.find(ChannelKind::rail_pressure) || log.find(ChannelKind::rail_pressure_volts)) return;
  const auto unread = std::ranges::find(log.layout.columns, ChannelKind::unknown, &ColumnLayout::kind);
  if (unread == log.layout.columns.end()) return;
  std::string headers;
  for (const ColumnLayout& column : log.layout.columns)
    headers += (headers.empty() ? "\"" : ", \"") + shortened(column.header) + "\"";
  const std::string name = unread->header.empty() ? std::to_string(unread->number) : unread->header;
  log.asks.push_back({"", "no column is known to be the rail pressure; the columns are " + headers,
                      R"("columns": [{"column": ")" + name + R"(", "kind": "rail_pressure"}] for the one that is)",
                      "--column \"" + name + "=rail_pressure\" for the one that is"});
}

// In long form rows are single values: the sweep is as long as the most often asked channel needs.
double interval_of(const Log& log, const TimeAxis& axis) {
  if (!log.layout.long_form) return axis.interval;
  double shortest = 0;
  for (const Channel& channel : log.channels) {
    const double step = steps_of(channel.time).usual;
    if (step > 0 && (shortest == 0 || step < shortest)) shortest = step;
  }
  return shortest;
}

// An actual pressure far above what was asked for, all along: one of the two may be in another unit than it says.
void compare_with_desired(Log& log) {
  constexpr double far_above = 3;  // times (assumed)
  const Channel *actual = log.find(ChannelKind::rail_pressure), *desired = log.find(ChannelKind::desired_pressure);
  if (!actual || !desired || actual->value.empty() || desired->value.empty()) return;
  const double most = *std::ranges::max_element(actual->value), wanted = *std::ranges::max_element(desired->value);
  if (wanted <= 0 || most < far_above * wanted || most < 3e6) return;
  log.notes.push_back({0, "the pressure reaches " + format_quantity(most / wanted, Quantity::ratio, "", 2) +
                              " times what is desired: is the unit of one of the two columns wrong?"});
}

}  // namespace

std::string sentence(const Note& note) {
  return (note.line > 0 ? "line " + std::to_string(note.line) + ": " : std::string()) + note.text;
}

double Channel::mean() const {
  return std::accumulate(value.begin(), value.end(), 0.0) / static_cast<double>(value.size());
}

const Channel* Log::find(ChannelKind kind) const {
  const auto found = std::ranges::find(channels, kind, &Channel::kind);
  return found == channels.end() ? nullptr : &*found;
}

void require_nothing_open(const Log& log) {
  if (log.asks.empty()) return;
  const Ask& first = log.asks.front();
  throw Error(log.file, first.text,
              "write " + first.job + " for this log in the job" +
                  (log.asks.size() > 1 ? " (" + std::to_string(log.asks.size() - 1) + " more to tell)" : ""));
}

Log parse_log(std::string bytes, const std::string& name, const LogOptions& options) {
  try {
    Opened opened = open_log(std::move(bytes), options);
    InterpretedLog& columns = opened.log;
    require_known_column(columns.layout);
    const TimeAxes axes(columns, options);
    Log log;
    log.file = name;
    log.segments = axes.first().segments;
    log.layout = std::move(opened.layout);
    log.notes = std::move(columns.raw.notes);
    add_channels(log, columns, axes, options);
    log.layout.columns = columns.layout;
    log.asks = columns.asks;
    add_pressure_from_volts(log, options);
    ask_for_pressure(log);
    log.sample_interval = interval_of(log, axes.first());
    add_flags(log);
    for (Channel& channel : log.channels) {
      if (channel.resolution == 0) channel.resolution = smallest_step(channel);
    }
    compare_with_desired(log);
    if (log.notes.size() > notes_kept) {
      const std::size_t more = log.notes.size() - notes_kept;
      log.notes.resize(notes_kept);
      log.notes.push_back({0, "and " + std::to_string(more) + " more notes of this kind"});
    }
    return log;
  } catch (const Error& error) {
    throw error.within(name);
  }
}

LogLayout describe_log(std::string bytes, const std::string& name, const LogOptions& options) {
  try {
    Opened opened = open_log(std::move(bytes), options);
    opened.layout.columns = std::move(opened.log.layout);
    return opened.layout;
  } catch (const Error& error) {
    throw error.within(name);
  }
}

Log read_log(const std::filesystem::path& path, const LogOptions& options) {
  return parse_log(read_bytes(path.string(), most_log_bytes), path.string(), options);
}

}  // namespace railseep
