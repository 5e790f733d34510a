#include "deciding.hpp"

#include <algorithm>

#include "data_files.hpp"
#include "job/noted_checks.hpp"

namespace railseep::gui {

namespace {

Decision run_decide(const Circuit& circuit, const MatchResult& match, DecideOptions options, Progress& progress, const Worker::Cancelled& cancelled) {
  options.progress = [&](std::size_t done, std::size_t all, const std::string& what) { progress.tell(done, all, what, cancelled); };
  return decide(circuit, match, read_costs(data_file("models/costs.json")), read_checks(data_file("models/checks.json")), options);
}

}  // namespace

std::vector<std::string> checks_done(const Job& job, const Matching& matching) {
  std::vector<std::string> done = matching.done;
  for (std::string& id : noted_checks(job))
    if (std::ranges::find(done, id) == done.end()) done.push_back(std::move(id));
  return done;
}

void start_deciding(Deciding& deciding, const Matching& matching, const Job& job, const std::shared_ptr<const Circuit>& circuit, bool metric, Worker& worker) {
  stop_deciding(deciding, worker);
  if (!matching.result || !circuit) return;
  deciding.progress = std::make_shared<Progress>();
  deciding.trouble.reset();
  DecideOptions options;
  options.done = checks_done(job, matching), options.metric = metric;
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
