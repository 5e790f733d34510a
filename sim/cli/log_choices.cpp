#include "cli/log_choices.hpp"

#include "cli/commands.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

/// "Oil temp=degF": the header may hold a "=" itself, the word behind the last one is what is told.
std::pair<std::string, std::string> split_told(const std::string& text, const char* option) {
  const auto at = text.rfind('=');
  if (at == std::string::npos || at == 0 || at + 1 == text.size())
    throw Error(option, "\"" + text + "\" tells nothing",
                "write HEADER=" + std::string(option == std::string("--unit") ? "UNIT" : "KIND"));
  return {text.substr(0, at), text.substr(at + 1)};
}

ColumnOptions& column_of(LogOptions& options, const std::string& header) {
  for (ColumnOptions& column : options.columns)
    if (column.column == header) return column;
  options.columns.push_back({.column = header});
  return options.columns.back();
}

}  // namespace

LogOptions LogChoices::options() const {
  LogOptions options;
  if (!separator.empty()) options.separator = of_option("--separator", [&] { return parse_separator(separator); });
  if (!decimal.empty()) options.numbers = of_option("--decimal", [&] { return parse_number_style(decimal); });
  if (!encoding.empty()) options.encoding = of_option("--encoding", [&] { return parse_encoding(encoding); });
  if (!interval.empty()) options.interval = read_option(interval, Quantity::time, "--interval");
  if (!time_unit.empty()) options.time_unit = of_option("--time-unit", [&] { return parse_time_unit(time_unit); });
  if (header_line >= 0) options.header_line = header_line;
  if (!long_form.empty()) options.long_form = long_form == "yes";
  for (const std::string& text : columns) {
    const auto [header, kind] = split_told(text, "--column");
    column_of(options, header).kind = of_option("--column", [&kind = kind] { return parse_channel_kind(kind); });
  }
  for (const std::string& text : units) {
    const auto [header, unit] = split_told(text, "--unit");
    column_of(options, header).unit = unit;
  }
  return options;
}

void add_log_options(CLI::App& command, LogChoices& choices) {
  const std::string group = "What is told about the logs, instead of being guessed";
  command
      .add_option(
          "--column", choices.columns,
          "What a column is: HEADER=KIND, or its number, such as \"3=rail_pressure\"; \"ignored\" leaves it out")
      ->group(group);
  command.add_option("--unit", choices.units, "The unit of a column: HEADER=UNIT, such as \"ICP=psi\"")->group(group);
  command.add_option("--time-unit", choices.time_unit, "The unit of the times: s, ms, us, min, h, days")->group(group);
  command
      .add_option("--interval", choices.interval, "Time between samples, where the log has no times, such as \"0.2 s\"")
      ->group(group);
  command.add_option("--separator", choices.separator, "Between cells: \",\" \";\" \"|\" tab blank")->group(group);
  command.add_option("--decimal", choices.decimal, "Decimal mark: point or comma")->group(group);
  command.add_option("--encoding", choices.encoding, "utf-8, utf-16le, utf-16be, latin-1")->group(group);
  command.add_option("--header-line", choices.header_line, "Line of the headers; 0: there is none")
      ->check(CLI::NonNegativeNumber)
      ->group(group);
  command.add_option("--long-form", choices.long_form, "One row a value: yes or no")
      ->check(CLI::IsMember({"yes", "no"}))
      ->group(group);
}

}  // namespace railseep
