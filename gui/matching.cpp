#include "matching.hpp"

#include <algorithm>

#include "data_files.hpp"
#include "decide/check.hpp"
#include "job/kept_proof.hpp"
#include "job/noted_checks.hpp"
#include "study/study_figures.hpp"

namespace railseep::gui {

namespace {

struct Matched {
  std::shared_ptr<const MatchResult> result;
  Soundness sound;
  std::vector<Shortfall> missing;
  Beside told;
  std::vector<std::string> done;
  Shop shop;
  std::string trust;
};

Matched run_match(const Job& job, const Circuit& circuit, Progress& progress, const Worker::Cancelled& cancelled) {
  MatchOptions options;
  options.progress = [&](std::size_t done, std::size_t all, const FaultFit& best) {
    progress.tell(done, all, best.candidate.title(), cancelled);
  };
  const Evidence evidence = evidence_of(
      job, [&](const std::string& file) { return found_file(job, file); }, railseep::Stage::before,
      engine_hints(circuit));
  auto result = std::make_shared<const MatchResult>(
      match(circuit, evidence, read_priors(data_file("models/priors.json")), options));
  return {result,
          soundness(circuit, *result),
          shortfalls(circuit, *result, evidence.observations),
          beside(circuit, evidence.observations, *result),
          done_checks(evidence),
          shop_of(job, evidence),
          trust(published_study(), circuit)};
}

}  // namespace

bool has_evidence(const Job& job) {
  const auto before = [](const auto& told) { return told.stage == railseep::Stage::before; };
  return std::ranges::any_of(job.logs, before) || std::ranges::any_of(job.starts, before) || !job.air_tests.empty() ||
         std::ranges::any_of(
             job.readings, [&](const JobReading& reading) { return before(reading) && why_unused(reading).empty(); }) ||
         !std::ranges::all_of(job.findings, &JobFinding::in_words);
}

void start_match(Matching& matching, const Document& document, const std::shared_ptr<const Circuit>& circuit,
                 Worker& worker) {
  matching.begin(
      worker,
      [circuit, job = document.job](Progress& progress, const Worker::Cancelled& cancelled) {
        return run_match(job, *circuit, progress, cancelled);
      },
      [&matching, of = evidence_text(document.job)](const Matched& matched) {
        matching.result = matched.result, matching.sound = matched.sound, matching.missing = matched.missing,
        matching.told = matched.told, matching.done = matched.done, matching.shop = matched.shop;
        matching.trust = matched.trust;
        matching.of = of;
        matching.chosen = 0;
        matching.log = std::clamp(matching.log, 0, std::max(0, static_cast<int>(matched.result->logs.size()) - 1));
      });
}

}  // namespace railseep::gui
