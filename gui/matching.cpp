#include "matching.hpp"

#include <algorithm>

#include "data_files.hpp"
#include "decide/check.hpp"

namespace railseep::gui {

namespace {

/// Words alone: kept and shown, no evidence.
bool in_words(const JobFinding& finding) { return !finding.bad && !finding.resistance; }

struct Matched {
  std::shared_ptr<const MatchResult> result;
  std::vector<Shortfall> missing;
  Beside told;
  std::vector<std::string> done;
};

Matched run_match(const Job& job, const Circuit& circuit, Progress& progress, const Worker::Cancelled& cancelled) {
  MatchOptions options;
  options.progress = [&](std::size_t done, std::size_t all, const FaultFit& best) { progress.tell(done, all, best.candidate.title(), cancelled); };
  const Evidence evidence = evidence_of(job, [&](const std::string& file) { return found_file(job, file); });
  auto result = std::make_shared<const MatchResult>(match(circuit, evidence, read_priors(data_file("models/priors.json")), options));
  return {result, shortfalls(circuit, *result), beside(circuit, evidence.observations, *result), done_checks(evidence)};
}

}  // namespace

bool has_evidence(const Job& job) {
  const auto before = [](const auto& told) { return told.stage == railseep::Stage::before; };
  return std::ranges::any_of(job.logs, before) || std::ranges::any_of(job.starts, before) || !job.air_tests.empty() ||
         std::ranges::any_of(job.readings, [&](const JobReading& reading) { return before(reading) && reading.moment != Moment::unsaid; }) ||
         !std::ranges::all_of(job.findings, in_words);
}

std::string evidence_text(const Job& job) {
  Job part = job;
  part.name.clear(), part.about.clear(), part.complaint.clear();
  std::erase_if(part.findings, in_words);
  for (JobFinding& finding : part.findings) finding.text.clear();
  return job_text(part);
}

void start_match(Matching& matching, const Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker) {
  stop_match(matching, worker);
  matching.progress = std::make_shared<Progress>();
  worker.submit(
      [&matching, circuit, job = document.job, progress = matching.progress](const Worker::Cancelled& cancelled) -> Worker::Deliver {
        try {
          return [&matching, matched = run_match(job, *circuit, *progress, cancelled), of = evidence_text(job)] {
            matching.result = matched.result, matching.missing = matched.missing, matching.told = matched.told, matching.done = matched.done;
            matching.of = of, matching.progress = nullptr, matching.trouble.reset();
            matching.chosen = 0;
            matching.log = std::clamp(matching.log, 0, std::max(0, static_cast<int>(matched.result->logs.size()) - 1));
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
