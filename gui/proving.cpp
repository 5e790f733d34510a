#include "proving.hpp"

#include "data_files.hpp"
#include "job/kept_proof.hpp"

namespace railseep::gui {

namespace {

RepairProof run_proof(const Job& job, const Circuit& circuit, Progress& progress, const Worker::Cancelled& cancelled) {
  MatchOptions options;
  // Two matches, one after the other: the first ends before the second begins to count.
  std::size_t last = 0, ended = 0;
  options.progress = [&](std::size_t done, std::size_t all, const FaultFit& best) {
    if (done < last) ended = 1;
    last = done;
    progress.tell(ended * all + done, 2 * all,
                  (ended == 0 ? "before the repair: " : "after it: ") + best.candidate.title(), cancelled);
  };
  const FindFile find = [&](const std::string& file) { return found_file(job, file); };
  return prove_repair(circuit, evidence_of(job, find, railseep::Stage::before, engine_hints(circuit)),
                      evidence_of(job, find, railseep::Stage::after, engine_hints(circuit)),
                      read_priors(data_file("models/priors.json")), options);
}

}  // namespace

void start_proving(Proving& proving, Document& document, const std::shared_ptr<const Circuit>& circuit,
                   Worker& worker) {
  struct Proved {
    std::shared_ptr<const RepairProof> result;
    KeptProof said;
  };
  proving.begin(
      worker,
      [circuit, job = document.job](Progress& progress, const Worker::Cancelled& cancelled) -> Proved {
        const auto result = std::make_shared<const RepairProof>(run_proof(job, *circuit, progress, cancelled));
        return {result, kept_proof(*result, job, [&](const std::string& file) { return found_file(job, file); })};
      },
      [&proving, &document](const Proved& proved) {
        proving.result = proved.result, proving.said = document.job.proof = proved.said;
        // Computed, not told: undo takes back what somebody did.
        if (!document.past.empty()) document.past.back().proof = proved.said;
        proving.before = proving.after = 0;
      });
}

bool proof_is_up_to_date(Proving& proving, const Job& job) {
  const std::string evidence = job.folder + "\n" + evidence_text(job);
  if (proving.evidence != evidence) {
    proving.evidence = evidence, proving.fingerprint.clear();
    try {
      proving.fingerprint = evidence_fingerprint(job, [&](const std::string& file) { return found_file(job, file); });
    } catch (const Error&) {
      // A log is not where it was: nobody can say that the proof is of it.
    }
  }
  return job.proof && job.proof->of == proving.fingerprint;
}

}  // namespace railseep::gui
