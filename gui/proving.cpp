#include "proving.hpp"

#include "data_files.hpp"
#include "matching.hpp"

namespace railseep::gui {

namespace {

RepairProof run_proof(const Job& job, const Circuit& circuit, Progress& progress, const Worker::Cancelled& cancelled) {
  MatchOptions options;
  // Two matches, one after the other: the first ends before the second begins to count.
  std::size_t last = 0, ended = 0;
  options.progress = [&](std::size_t done, std::size_t all, const FaultFit& best) {
    if (done < last) ended = 1;
    last = done;
    progress.tell(ended * all + done, 2 * all, (ended == 0 ? "before the repair: " : "after it: ") + best.candidate.title(), cancelled);
  };
  const FindFile find = [&](const std::string& file) { return found_file(job, file); };
  return prove_repair(circuit, evidence_of(job, find), evidence_of(job, find, railseep::Stage::after), read_priors(data_file("models/priors.json")), options);
}

}  // namespace

void start_proving(Proving& proving, const Document& document, const std::shared_ptr<const Circuit>& circuit, Worker& worker) {
  stop_proving(proving, worker);
  proving.progress = std::make_shared<Progress>();
  proving.trouble.reset();
  worker.submit(
      [&proving, circuit, job = document.job, progress = proving.progress](const Worker::Cancelled& cancelled) -> Worker::Deliver {
        try {
          auto result = std::make_shared<const RepairProof>(run_proof(job, *circuit, *progress, cancelled));
          return [&proving, result, of = evidence_text(job)] { proving.result = result, proving.of = of, proving.progress = nullptr, proving.before = proving.after = 0; };
        } catch (const Stopped&) {
          return [] {};
        }
      },
      [&proving](const Error& error) { proving.trouble = error, proving.progress = nullptr; });
}

void stop_proving(Proving& proving, Worker& worker) {
  worker.cancel();
  proving.progress = nullptr;
}

}  // namespace railseep::gui
