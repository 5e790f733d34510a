#include "log/log_reader.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>

#include "log/decode_text.hpp"
#include "log/flags.hpp"
#include "log/interpret_columns.hpp"
#include "log/read_channel.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

constexpr std::size_t notes_kept = 100;

struct Opened {
  RawLog raw;
  LogLayout layout;
};

Opened open_log(std::string bytes, const LogOptions& options) {
  const DecodedText decoded = decode_text(std::move(bytes), options.encoding);
  const Table table = split_table(decoded.text, options.separator);
  if (table.rows.empty()) throw Error("", "the file is empty", "rows of numbers under a header row");
  Opened opened{find_columns(table, options), {}};
  RawLog& raw = opened.raw;
  if (decoded.padded) raw.notes.push_back({0, "zero bytes at the end are left out: the tool lost its power?"});
  opened.layout.encoding = decoded.encoding;
  opened.layout.separator = table.separator;
  opened.layout.long_form = raw.long_form;
  opened.layout.header_line = raw.header_line;
  opened.layout.unit_line = raw.unit_line;
  opened.layout.columns = interpret_columns(raw, options, table.separator);
  return opened;
}

TimeAxis find_times(Opened& opened, const LogOptions& options) {
  RawLog& raw = opened.raw;
  const RawColumn* counter = &raw.columns.front();
  const ColumnLayout* counter_layout = &opened.layout.columns.front();
  for (std::size_t k = 0; k < raw.columns.size(); ++k) {
    ColumnLayout& layout = opened.layout.columns[k];
    if (layout.kind == ChannelKind::sample_index) {
      counter = &raw.columns[k];
      counter_layout = &layout;
    }
    if (layout.kind != ChannelKind::time || !holds_times(raw.columns[k], layout.numbers)) continue;
    const ColumnOptions* told = options_of(options, layout.number, layout.header);
    return read_time_axis(raw.columns[k], layout, told ? told->factor : 1, raw.long_form, raw.notes);
  }
  if (raw.long_form) throw Error("", "the rows have no readable times", "a time in every row of a file in long form");
  if (!options.interval) {
    const bool numbered = counter_layout->kind == ChannelKind::sample_index;
    throw Error("", numbered ? "there are sample numbers but no times" : "there is no column of times",
                "a column \"time\", or the interval between samples as an option, such as \"0.2 s\"");
  }
  if (!(*options.interval > 0)) throw Error("", "the interval between samples is not above 0", "such as \"0.2 s\"");
  return count_time_axis(*counter, *counter_layout, *options.interval);
}

void add_channels(Log& log, const Opened& opened, const TimeAxis& axis, const LogOptions& options) {
  std::vector<Channel> computed;
  for (std::size_t k = 0; k < opened.raw.columns.size(); ++k) {
    const ColumnLayout& layout = opened.layout.columns[k];
    if (layout.kind >= ChannelKind::time) continue;
    const ColumnOptions* told = options_of(options, layout.number, layout.header);
    Channel channel = read_channel(opened.raw.columns[k], layout, axis, told);
    const bool volts = channel.kind == ChannelKind::rail_pressure_volts;
    if (volts && told && told->sensor_zero && told->sensor_gain) {
      computed.push_back(pressure_from_volts(channel, *told->sensor_zero, *told->sensor_gain));
    }
    if (channel.value.empty()) log.notes.push_back({0, "column \"" + channel.header + "\" holds no value"});
    log.channels.push_back(std::move(channel));
  }
  std::move(computed.begin(), computed.end(), std::back_inserter(log.channels));
  if (std::all_of(log.channels.begin(), log.channels.end(), [](const Channel& c) { return c.value.empty(); })) {
    throw Error("", "no column holds a value", "at least one row of numbers");
  }
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

}  // namespace

const Channel* Log::find(ChannelKind kind) const {
  const auto found =
      std::find_if(channels.begin(), channels.end(), [kind](const Channel& c) { return c.kind == kind; });
  return found == channels.end() ? nullptr : &*found;
}

Log parse_log(std::string bytes, const std::string& name, const LogOptions& options) {
  try {
    Opened opened = open_log(std::move(bytes), options);
    require_known_column(opened.layout.columns);
    const TimeAxis axis = find_times(opened, options);
    Log log;
    log.file = name;
    log.segments = axis.segments;
    log.layout = opened.layout;
    log.notes = opened.raw.notes;
    add_channels(log, opened, axis, options);
    log.sample_interval = interval_of(log, axis);
    add_flags(log);
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
    return open_log(std::move(bytes), options).layout;
  } catch (const Error& error) {
    throw error.within(name);
  }
}

Log read_log(const std::filesystem::path& path, const LogOptions& options) {
  std::ifstream file(path, std::ios::binary);
  if (!file || std::filesystem::is_directory(path)) {
    throw Error(path.string(), "the file cannot be opened", "the path of a log file that may be read");
  }
  std::string bytes{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  if (file.bad()) throw Error(path.string(), "the file cannot be read to its end", "an undamaged log file");
  return parse_log(std::move(bytes), path.string(), options);
}

}  // namespace railseep
