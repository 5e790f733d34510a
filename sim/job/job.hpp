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

/// A value read off a gauge or a tool, with no log behind it. It is kept and shown; the match does not use it.
struct JobReading {
  std::string when;  // "hot idle"
  ChannelKind kind = ChannelKind::rail_pressure;
  double value = 0;  // SI
};

/// What a check showed, in the words of the one who did it.
struct JobFinding {
  std::string check;  // "air test, left valve cover"
  std::string text;
};

/// Complaint, circuit and evidence for one engine.
struct Job {
  std::string name, about, complaint;
  std::string circuit;  // file, relative to the job file or shipped
  std::vector<JobReading> readings;
  std::vector<JobLog> logs;  // may be empty while the job is being written down
  std::vector<JobFinding> findings;
  std::string folder;   // of the job file
};

/// Reads a job file (scenarios/job.schema.json describes it). @throws Error with file, place, found, expected
Job read_job(const std::string& path);

/// The job as the text of a job file: reads back to the same job.
std::string job_text(const Job& job);

/// Writes a job file beside its old self and then in its place, so that a power cut leaves one of the two whole. @throws Error
void write_job(const std::string& path, const Job& job);

/// The job as it must be written in another folder: it names the same files.
Job moved_to(const Job& job, const std::string& folder);

/// Path of a file that a job names: beside the job, else as find_data gives it.
std::string job_path(const Job& job, const std::string& file);

}  // namespace railseep
