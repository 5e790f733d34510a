#include "cli/job_match.hpp"

#include <unistd.h>

#include <chrono>
#include <iostream>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"

namespace railseep {

ReadJob with_evidence(Job job, Stage stage) {
  ReadJob read{std::move(job), {}, {}};
  read.circuit = read_circuit(data_file(job_path(read.job, read.job.circuit)));
  read.evidence = evidence_of(
      read.job, [&](const std::string& name) { return data_file(job_path(read.job, name)); }, stage,
      engine_hints(read.circuit));
  return read;
}

MatchOptions watched(int threads) {
  using Clock = std::chrono::steady_clock;
  MatchOptions options;
  options.threads = threads;
  if (isatty(STDERR_FILENO))
    options.progress = [begun = Clock::now()](std::size_t done, std::size_t all, const FaultFit& best) {
      const double spent = std::chrono::duration<double>(Clock::now() - begun).count();
      const double left = done > 0 ? spent * static_cast<double>(all - done) / static_cast<double>(done) : 0;
      std::cerr << "\r" << done << " of " << all << " steps, about "
                << format_quantity(left, Quantity::time, "s", left < 10 ? 1 : 2)
                << " left; best so far: " << best.candidate.title().substr(0, 36) << std::string(12, ' ') << std::flush;
      if (done == all) std::cerr << "\r" << std::string(100, ' ') << "\r";
    };
  return options;
}

JobMatch match_job(Job job, const std::string& priors, int threads, Pairs pairs) {
  ReadJob read = with_evidence(std::move(job));
  MatchOptions options = watched(threads);
  options.pairs = pairs;
  MatchResult result = match(read.circuit, read.evidence, read_priors(data_file(priors)), options);
  return {std::move(read.job), std::move(read.circuit), std::move(result), std::move(read.evidence)};
}

}  // namespace railseep
