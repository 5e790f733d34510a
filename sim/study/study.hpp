#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "study/job_outcome.hpp"

namespace railseep {

/// What a study is: with the same settings it gives the same outcomes, for any number of threads.
struct StudySettings {
  std::uint64_t jobs = 500, seed = 1;
  std::optional<Deviations> deviations;  // none given: each job tosses a coin for each
  int threads = 0;                       // 0: all there are
};

/// Called after each job, from one thread at a time.
using StudyProgress = std::function<void(std::size_t done, const JobOutcome& latest)>;

/// Makes and matches all jobs, in parallel. @param done outcomes of an earlier, interrupted run: these jobs are not run
/// again
/// @return by number
std::vector<JobOutcome> run_study(const Circuit& circuit, const Priors& priors, const StudySettings& settings,
                                  std::vector<JobOutcome> done = {}, const StudyProgress& progress = {});

/// How far noise-free logs of one deviation are from what the model computes for the truth: the measure for the
/// tolerances of NoiseModel.
struct Departure {
  std::string deviations;  // in words
  std::string conditions;  // "cold", "hot", "weak battery"
  int logs = 0;
  double late_share = 0;  // root mean square over logs of late_offset/late_pressure [-]
  double late_bias = 0;   // mean of it [-]
  double early = 0;       // root mean square over logs and times of the first third, without the late offset [Pa]
  double memory = 0;      // time over which it keeps: -dt/ln(autocorrelation of neighbours), median over logs [s]
};

/// Each deviation alone, none and all, on the first jobs of a study.
std::vector<Departure> measure_departures(const Circuit& circuit, const Priors& priors, const StudySettings& settings,
                                          std::uint64_t jobs);

}  // namespace railseep
