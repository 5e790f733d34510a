#include "matching.hpp"

#include <algorithm>

#include "data_files.hpp"

namespace railseep::gui {

namespace {

/// Ends a match from inside its progress call.
struct Stopped {};

MatchResult run_match(const Job& job, const Circuit& circuit, MatchProgress& progress, const Worker::Cancelled& cancelled) {
  MatchOptions options;
  options.progress = [&](std::size_t done, std::size_t all, const FaultFit& best) {
    const std::lock_guard lock(progress.guard);
    progress.done = done, progress.all = all, progress.best = best.candidate.title();
    if (cancelled()) throw Stopped{};
  };
  return match(circuit, evidence_of(job, [&](const std::string& file) { return found_file(job, file); }), read_priors(data_file("models/priors.json")), options);
}

}  // namespace

void start_match(Matching& matching, const Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker) {
  stop_match(matching, worker);
  matching.progress = std::make_shared<MatchProgress>();
  worker.submit(
      [&matching, circuit, job = document.job, progress = matching.progress](const Worker::Cancelled& cancelled) -> Worker::Deliver {
        try {
          auto result = std::make_shared<const MatchResult>(run_match(job, *circuit, *progress, cancelled));
          return [&matching, result, of = job_text(job)] {
            matching.result = result, matching.of = of, matching.progress = nullptr, matching.trouble.reset();
            matching.chosen = 0;
            matching.log = std::clamp(matching.log, 0, std::max(0, static_cast<int>(result->logs.size()) - 1));
          };
        } catch (const Stopped&) {
          return [] {};
        }
      },
      [&matching](const Error& error) { matching.trouble = error, matching.progress = nullptr; });
}

void stop_match(Matching& matching, Worker& worker) {
  worker.cancel();
  matching.progress = nullptr;
}

}  // namespace railseep::gui
