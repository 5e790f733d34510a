#include "job/kept_proof.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"

namespace railseep {

namespace {

using Verdict = RepairProof::Verdict;

constexpr Verdict verdicts[] = {Verdict::proved, Verdict::not_proved, Verdict::something_left};

/// Four decimals of a probability are more than it is worth, and stay the same when they are written and read.
double short_share(double share) { return std::round(1e4 * share) / 1e4; }

double read_share(JsonFields& fields, const char* key) {
  const double share = fields.quantity(key, Quantity::ratio);
  if (share < 0 || share > 1)
    throw Error(fields.place_of(key), "a probability lies between 0 and 1", "write such as 0.97");
  return share;
}

Verdict read_verdict(JsonFields& fields) {
  const std::string told = fields.text("verdict");
  const auto found = std::ranges::find_if(verdicts, [&](Verdict verdict) { return word(verdict) == told; });
  if (found != std::end(verdicts)) return *found;
  std::string all;
  for (const Verdict verdict : verdicts) all += (all.empty() ? "\"" : ", \"") + std::string(word(verdict)) + "\"";
  throw Error(fields.place_of("verdict"), "\"" + told + "\" is no verdict", "write one of " + all);
}

}  // namespace

KeptProof kept_proof(const RepairProof& proof, const Job& job, const FindFile& find) {
  return {proof.verdict,
          proof.why,
          proof.fault.candidate.title(),
          short_share(proof.gone),
          short_share(proof.unchanged),
          short_share(proof.changed),
          evidence_fingerprint(job, find)};
}

std::string evidence_text(const Job& job) {
  Job part = job;
  part.name.clear(), part.about.clear(), part.complaint.clear(), part.proof.reset();
  std::erase_if(part.findings, [](const JobFinding& finding) { return finding.in_words(); });
  part.open.clear(), part.set_up.clear();
  for (JobFinding& finding : part.findings)  // which words they are is no evidence, that there are some is
    finding.text = finding.described() ? "described" : "", finding.done.clear();
  return job_text(part);
}

std::string evidence_fingerprint(const Job& job, const FindFile& find) {
  std::string files = read_text(find(job.circuit));
  Job told = job;
  told.circuit.clear();
  for (JobLog& log : told.logs)
    files += read_bytes(find(log.file), most_log_bytes), log.file.clear(), log.condition.name.clear();
  return fingerprint(evidence_text(told) + files);
}

KeptProof read_kept_proof(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  KeptProof proof;
  proof.verdict = read_verdict(fields);
  proof.why = fields.text("why");
  proof.fault = fields.text("fault");
  proof.gone = read_share(fields, "gone"), proof.unchanged = read_share(fields, "unchanged"),
  proof.changed = read_share(fields, "changed");
  proof.of = fields.text("of");
  fields.finish();
  return proof;
}

Json kept_proof_json(const KeptProof& proof) {
  return {{"verdict", word(proof.verdict)}, {"why", proof.why},         {"fault", proof.fault}, {"gone", proof.gone},
          {"unchanged", proof.unchanged},   {"changed", proof.changed}, {"of", proof.of}};
}

}  // namespace railseep
