#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "cli/log_choices.hpp"
#include "job/job.hpp"

namespace railseep {

/// A job file, or what a job would hold: circuit, logs, and what is told beside them.
struct JobChoices {
  std::vector<std::string> files;  // JOB.json, or CIRCUIT.json LOG.csv ...
  std::string name, complaint, oil;
  std::vector<std::string> oil_temperatures, speeds, batteries, started;  // one for all logs, or one each
  LogChoices logs;

  bool told_beside() const {
    return !name.empty() || !complaint.empty() || !oil.empty() || !oil_temperatures.empty() || !speeds.empty() ||
           !batteries.empty() || !started.empty();
  }
};

/// Adds the files as arguments, and the options that tell what a job would.
void add_job_options(CLI::App& command, JobChoices& choices);

/// Adds the options alone.
void add_told_options(CLI::App& command, JobChoices& choices);

/// Is this file a circuit, a job, ...? The word that it says of itself; empty: it is no JSON file.
std::string file_kind(const std::string& path);

/// The job that is named, or the one that the options tell. @throws Error, which for logs without a circuit says what
/// to type
Job job_of(const JobChoices& choices, const char* command);

/// Names of the circuits that come with the program: "models/valley_v8.json".
std::vector<std::string> shipped_circuits();

}  // namespace railseep
