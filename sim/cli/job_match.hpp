#pragma once

#include <string>

#include "job/job.hpp"
#include "match/match.hpp"

namespace railseep {

/// A job with its circuit, matched.
struct JobMatch {
  Job job;
  Circuit circuit;
  MatchResult result;
};

/// Reads a job, its circuit and its logs, and matches them; shows progress where somebody watches. @throws Error
JobMatch match_job(const std::string& job, const std::string& priors, int threads);

}  // namespace railseep
