#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <iomanip>
#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/log_choices.hpp"
#include "cli/output.hpp"
#include "cli/text_plot.hpp"
#include "job/job.hpp"
#include "log/log_reader.hpp"
#include "log/log_unit.hpp"
#include "log/split_table.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

struct LogsChoices {
  std::vector<std::string> files;
  std::string circuit;
  LogChoices told;
  OutputChoices output;
};

/// A log as it was read, or why it could not be.
struct ReadFile {
  std::string file;
  std::optional<Log> log;
  std::optional<Error> trouble;
};

ReadFile read_file(const std::string& path, const LogOptions& options) {
  try {
    return {path, read_log(path, options), std::nullopt};
  } catch (const Error& error) {
    return {path, std::nullopt, error};
  }
}

/// The logs of a job, as the job tells them to be read.
void read_logs_of_job(const std::string& path, std::vector<ReadFile>& files) {
  const Job job = read_job(path);
  const EngineHints engine = engine_hints(read_circuit(data_file(job_path(job, job.circuit))));
  for (const JobLog& told : job.logs) {
    LogOptions options = told.options;
    options.engine = engine;
    files.push_back(read_file(data_file(job_path(job, told.file)), options));
  }
}

std::vector<ReadFile> read_all(const LogsChoices& choices) {
  LogOptions options = choices.told.options();
  if (!choices.circuit.empty()) options.engine = engine_hints(read_circuit(data_file(choices.circuit)));
  std::vector<ReadFile> files;
  for (const std::string& file : choices.files) {
    const std::string path = data_file(file);
    if (std::filesystem::path(path).extension() == ".json")
      read_logs_of_job(path, files);
    else
      files.push_back(read_file(path, options));
  }
  return files;
}

std::string words_of(const Ask& ask) {
  return ask.text + ". Write " + ask.option + " here, or " + ask.job + " for the log in a job";
}

/// The layout of the column that a channel came from; nullptr where it was computed.
const ColumnLayout* layout_of(const Log& log, const Channel& channel) {
  const auto found = std::ranges::find_if(log.layout.columns, [&](const ColumnLayout& column) {
    return column.header == channel.header && column.kind == channel.kind;
  });
  return found == log.layout.columns.end() ? nullptr : &*found;
}

Json column_json(const std::string& header, ChannelKind kind, const std::string& unit, bool sure) {
  return Json{{"header", header}, {"kind", kind_name(kind)}, {"unit", unit},
              {"sure", sure},     {"time", Json::array()},   {"value", Json::array()}};
}

Json file_json(const ReadFile& read) {
  Json json{{"file", read.file}, {"columns", Json::array()}, {"notes", Json::array()}, {"asks", Json::array()}};
  if (!read.log) {
    json["error"] = read.trouble->what();
    return json;
  }
  const Log& log = *read.log;
  for (const Channel& channel : log.channels) {
    const ColumnLayout* layout = layout_of(log, channel);
    Json column = column_json(channel.header, channel.kind, channel.unit, layout == nullptr || layout->certain);
    column["time"] = channel.time, column["value"] = channel.value;
    json["columns"].push_back(std::move(column));
    for (const Flag& flag : channel.flags)
      json["notes"].push_back(channel.header + ", " + sentence({flag.line, flag.text}));
  }
  for (const ColumnLayout& column : log.layout.columns)
    if (!is_measured(column.kind))
      json["columns"].push_back(column_json(column.header, column.kind, column.unit, column.certain));
  for (const Note& note : log.notes) json["notes"].push_back(sentence(note));
  for (const Ask& ask : log.asks) json["asks"].push_back(words_of(ask));
  return json;
}

std::string how_known(const ColumnLayout& column) {
  switch (column.unit_source) {
    case UnitSource::told:
      return "told";
    case UnitSource::written:
      return "written";
    case UnitSource::guessed:
      return "guessed";
    default:
      return "";
  }
}

std::string shown_kind(ChannelKind kind) {
  std::string text(kind == ChannelKind::unknown ? "not read" : kind_name(kind));
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

/// "12 to 2326": least and most, as the file writes them.
std::string range_of(const Channel& channel) {
  if (channel.value.empty()) return "no value";
  const auto [least, most] = std::ranges::minmax_element(channel.value);
  const LogUnit unit = *find_log_unit(channel.unit);
  const auto written = [&](double si) {
    return format_quantity((si - unit.offset) / unit.factor, Quantity::ratio, "");
  };
  return written(*least) + " to " + written(*most);
}

std::string times_of(const Channel& channel) {
  if (channel.time.empty()) return "";
  const auto seconds = [](double t) { return format_quantity(t, Quantity::ratio, "", 5); };
  return seconds(channel.time.front()) + " to " + seconds(channel.time.back());
}

/// A text in a column of the screen: letters count, not their bytes.
std::string padded(const std::string& text, std::size_t width) {
  const auto letters = static_cast<std::size_t>(
      std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
  return text + std::string(width - std::min(width, letters), ' ');
}

void print_columns(const Log& log) {
  const auto row = [](const std::string& header, const std::string& kind, const std::string& unit,
                      const std::string& known, const std::string& samples, const std::string& time,
                      const std::string& values) {
    std::cout << "  " << padded(header, 24) << padded(kind, 21) << padded(unit, 9) << padded(known, 9) << std::right
              << std::setw(8) << samples << "  " << padded(time, 16) << " " << values << "\n";
  };
  row("column", "taken for", "unit", "how", "samples", "time [s]", "least to most");
  for (const ColumnLayout& column : log.layout.columns) {
    const auto channel =
        std::ranges::find_if(log.channels, [&](const Channel& one) { return layout_of(log, one) == &column; });
    const std::string header =
        std::to_string(column.number) + " " + (column.header.empty() ? "(no header)" : shortened(column.header));
    const bool read = channel != log.channels.end(), shows_unit = has_unit(column.kind);
    row(header, shown_kind(column.kind), shows_unit ? column.unit : "", shows_unit ? how_known(column) : "",
        read ? std::to_string(channel->value.size()) : "", read ? times_of(*channel) : "",
        read ? range_of(*channel) : "");
    if (shows_unit && !column.certain) std::cout << wrapped("      " + column.unit_why, "        ");
  }
}

void print_notes(const Log& log) {
  bool any = !log.notes.empty();
  for (const Channel& channel : log.channels) any |= !channel.flags.empty();
  if (!any) return;
  std::cout << "  Notes\n";
  for (const Note& note : log.notes) std::cout << wrapped("    " + sentence(note), "      ");
  for (const Channel& channel : log.channels) {
    constexpr std::size_t shown = 8;
    for (std::size_t i = 0; i < std::min(shown, channel.flags.size()); ++i)
      std::cout << wrapped("    " + channel.header + ", " + sentence({channel.flags[i].line, channel.flags[i].text}),
                           "      ");
    if (channel.flags.size() > shown)
      std::cout << "    " << channel.header << ": and " << channel.flags.size() - shown << " more\n";
  }
}

void print_plots(const Log& log) {
  for (const ChannelKind kind : {ChannelKind::rail_pressure, ChannelKind::regulator_duty}) {
    const Channel* channel = log.find(kind);
    if (channel == nullptr || channel->value.size() < 2) continue;
    const LogUnit unit = *find_log_unit(channel->unit);
    std::vector<double> shown = channel->value;
    for (double& value : shown) value = (value - unit.offset) / unit.factor;
    std::cout << text_plot(shown_kind(kind) + " [" + channel->unit + "] over time [s]", channel->time, shown);
  }
}

void print_file(const ReadFile& read) {
  if (!read.log) {
    std::cout << wrapped(std::string("NOT READ: ") + read.trouble->what(), "  ");
    return;
  }
  const Log& log = *read.log;
  std::cout << read.file << "\n  " << (log.layout.long_form ? "one row a value" : "one row a time")
            << ", cells separated by " << separator_word(log.layout.separator) << ", " << word(log.layout.encoding)
            << (log.layout.header_line > 0 ? ", headers on line " + std::to_string(log.layout.header_line)
                                           : ", no headers")
            << "\n";
  print_columns(log);
  if (isatty(STDOUT_FILENO)) print_plots(log);
  print_notes(log);
  if (!log.asks.empty()) std::cout << "  MUST BE TOLD before this log can be used\n";
  for (const Ask& ask : log.asks)
    std::cout << wrapped("    " + ask.text, "      ") << "      here:     " << ask.option
              << "\n      in a job: " << ask.job << "\n";
}

int run_logs(const LogsChoices& choices) {
  const std::vector<ReadFile> files = read_all(choices);
  Output out(choices.output, {});
  Json json = result_head("logs");
  json["files"] = Json::array();
  for (const ReadFile& file : files) {
    if (choices.output.json) json["files"].push_back(file_json(file));
    if (!out.speaks()) continue;
    print_file(file);
    std::cout << (&file == &files.back() ? "" : "\n");
  }
  out.json(json);
  if (std::ranges::any_of(files, [](const ReadFile& file) { return !file.log; })) return exit_bad_input;
  return std::ranges::any_of(files, [](const ReadFile& file) { return !file.log->asks.empty(); }) ? exit_must_be_told
                                                                                                  : exit_done;
}

}  // namespace

void add_logs(CLI::App& program, Run& run) {
  auto choices = std::make_shared<LogsChoices>();
  CLI::App* command =
      program.add_subcommand("logs", "Show what is read from measured logs: columns, units, samples, what is doubtful");
  command->add_option("files", choices->files, "Logs (CSV), or job files, whose logs are then read as the job tells")
      ->required();
  command->add_option(
      "--circuit", choices->circuit,
      "Circuit of the engine: its sensor and enable pressure help to tell units, and turn volts into a pressure");
  add_log_options(*command, choices->told);
  add_json(*command, choices->output);
  command->footer("Exit code 3: something must be told before a log can be used; what to write is printed.");
  command->callback([choices, &run] { run = [choices] { return run_logs(*choices); }; });
}

}  // namespace railseep
