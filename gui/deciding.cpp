#include "deciding.hpp"

#include <algorithm>

#include "data_files.hpp"

namespace railseep::gui {

namespace {

/// Ends the reckoning from inside its progress call.
struct Stopped {};

Decision run_decide(const Circuit& circuit, const MatchResult& match, DecideOptions options, MatchProgress& progress, const Worker::Cancelled& cancelled) {
  options.progress = [&](std::size_t done, std::size_t all, const std::string& what) {
    const std::lock_guard lock(progress.guard);
    progress.done = done, progress.all = all, progress.best = what;
    if (cancelled()) throw Stopped{};
  };
  return decide(circuit, match, read_costs(data_file("models/costs.json")), read_checks(data_file("models/checks.json")), options);
}

}  // namespace

void start_deciding(Deciding& deciding, const Matching& matching, const std::shared_ptr<const Circuit>& circuit, bool metric, Worker& worker) {
  stop_deciding(deciding, worker);
  if (!matching.result || !circuit) return;
  deciding.progress = std::make_shared<MatchProgress>();
  deciding.trouble.reset();
  DecideOptions options;
  options.done = deciding.done, options.metric = metric;
  worker.submit(
      [&deciding, circuit, match = matching.result, options, progress = deciding.progress](const Worker::Cancelled& cancelled) -> Worker::Deliver {
        try {
          auto result = std::make_shared<const Decision>(run_decide(*circuit, *match, options, *progress, cancelled));
          return [&deciding, result, match, done = options.done] {
            deciding.result = result, deciding.of = match, deciding.made_without = done, deciding.progress = nullptr, deciding.trouble.reset();
            deciding.chosen = 0;
          };
        } catch (const Stopped&) {
          return [] {};
        }
      },
      [&deciding](const Error& error) { deciding.trouble = error, deciding.progress = nullptr; });
}

void stop_deciding(Deciding& deciding, Worker& worker) {
  worker.cancel();
  deciding.progress = nullptr;
}

}  // namespace railseep::gui
