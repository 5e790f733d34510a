#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "log/log_options.hpp"

namespace railseep {

/// What can be told about logs on the command line; the same as in a job.
struct LogChoices {
  std::string separator, decimal, encoding, long_form, interval, time_unit;
  int header_line = -1;  // below 0: not told
  std::vector<std::string> columns, units;

  /// @throws Error naming the option
  LogOptions options() const;
};

void add_log_options(CLI::App& command, LogChoices& choices);

}  // namespace railseep
