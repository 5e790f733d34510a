#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "log/log_options.hpp"
#include "match/evidence.hpp"

namespace railseep {

/// A log that belongs to a job: the file, how to read it, and what was written down beside it.
struct JobLog {
  std::string file;  // as in the job file, relative to it
  LogOptions options;
  LogCondition condition;
};

/// Complaint, circuit and evidence for one engine.
struct Job {
  std::string name, about, complaint;
  std::string circuit;  // file, relative to the job file or shipped
  std::vector<JobLog> logs;
  std::string folder;   // of the job file
};

/// Reads a job file (scenarios/job.schema.json describes it). @throws Error with file, place, found, expected
Job read_job(const std::string& path);

/// Path of a file that a job names: beside the job, else as find_data gives it.
std::string job_path(const Job& job, const std::string& file);

}  // namespace railseep
