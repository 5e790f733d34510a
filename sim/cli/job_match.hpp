#pragma once

#include <string>

#include "job/job.hpp"
#include "match/match.hpp"

namespace railseep {

/// A job with its circuit and what is known about its engine.
struct ReadJob {
  Job job;
  Circuit circuit;
  Evidence evidence;
};
ReadJob with_evidence(Job job, Stage stage = Stage::before);

/// A job with its circuit, matched.
struct JobMatch {
  Job job;
  Circuit circuit;
  MatchResult result;
  Evidence evidence;
};

/// A match that shows its progress, and the time that is left, where somebody watches.
MatchOptions watched(int threads);

/// Reads a job's circuit and its logs, and matches them; shows progress where somebody watches. @throws Error
JobMatch match_job(Job job, const std::string& priors, int threads, Pairs pairs = Pairs::when_needed);

}  // namespace railseep
