#include "cli/job_match.hpp"

#include <unistd.h>

#include <iostream>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"

namespace railseep {

JobMatch match_job(const std::string& file, const std::string& priors, int threads) {
  JobMatch matched;
  matched.job = read_job(data_file(file));
  const Job& job = matched.job;
  matched.circuit = read_circuit(data_file(job_path(job, job.circuit)));
  const Evidence evidence = evidence_of(job, [&](const std::string& name) { return data_file(job_path(job, name)); });
  MatchOptions options;
  options.threads = threads;
  if (isatty(STDERR_FILENO)) options.progress = [](std::size_t done, std::size_t all, const FaultFit& best) {
    std::cerr << "\r" << done << " of " << all << " candidates, best so far: " << best.candidate.title().substr(0, 50) << std::string(20, ' ') << std::flush;
    if (done == all) std::cerr << "\r" << std::string(100, ' ') << "\r";
  };
  matched.result = match(matched.circuit, evidence, read_priors(data_file(priors)), options);
  return matched;
}

}  // namespace railseep
