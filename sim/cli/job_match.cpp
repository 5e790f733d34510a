#include "cli/job_match.hpp"

#include <unistd.h>

#include <iostream>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"

namespace railseep {

ReadJob read_job_files(const std::string& file, Stage stage) {
  ReadJob read{read_job(data_file(file)), {}, {}};
  read.circuit = read_circuit(data_file(job_path(read.job, read.job.circuit)));
  read.evidence = evidence_of(
      read.job, [&](const std::string& name) { return data_file(job_path(read.job, name)); }, stage,
      engine_hints(read.circuit));
  return read;
}

MatchOptions watched(int threads) {
  MatchOptions options;
  options.threads = threads;
  if (isatty(STDERR_FILENO))
    options.progress = [](std::size_t done, std::size_t all, const FaultFit& best) {
      std::cerr << "\r" << done << " of " << all << " steps, best so far: " << best.candidate.title().substr(0, 50)
                << std::string(20, ' ') << std::flush;
      if (done == all) std::cerr << "\r" << std::string(100, ' ') << "\r";
    };
  return options;
}

JobMatch match_job(const std::string& file, const std::string& priors, int threads, Pairs pairs) {
  ReadJob read = read_job_files(file);
  MatchOptions options = watched(threads);
  options.pairs = pairs;
  MatchResult result = match(read.circuit, read.evidence, read_priors(data_file(priors)), options);
  return {std::move(read.job), std::move(read.circuit), std::move(result), std::move(read.evidence)};
}

}  // namespace railseep
