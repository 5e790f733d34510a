#include <memory>

#include "after/repair.hpp"
#include "cli/commands.hpp"
#include "cli/job_match.hpp"
#include "cli/output.hpp"
#include "quantity/json_fields.hpp"
#include "words/shown_units.hpp"

namespace railseep {

namespace {

struct ProofChoices {
  std::string job, priors = "models/priors.json";
  int threads = 0;
  OutputChoices output;
};

std::string flow_words(const Output& out, const Severity& flow) {
  const auto number = [&](double si) { return out.shown(si, Quantity::volume_flow, "", 2); };
  const std::string low = number(flow.low);
  return number(flow.best) + " (" + low.substr(0, low.find(' ')) + " to " + number(flow.high) + ")";
}

Json proof_json(const ReadJob& read, const RepairProof& proof) {
  Json json = result_head("proof");
  json["job"] = read.job.name;
  json["circuit"] = read.circuit.name;
  json["verdict"] = word(proof.verdict);
  json["why"] = proof.why;
  json["fault"] = proof.fault.candidate.title();
  json["probability"] = {{"gone", proof.gone}, {"unchanged", proof.unchanged}, {"changed", proof.changed}};
  if (proof.flow_before)
    json["oil_lost_before_m3/s"] = {{"best", proof.flow_before->best},
                                    {"90_percent", {proof.flow_before->low, proof.flow_before->high}}};
  if (proof.flow_after)
    json["oil_lost_after_if_any_m3/s"] = {{"best", proof.flow_after->best},
                                          {"90_percent", {proof.flow_after->low, proof.flow_after->high}}};
  return json;
}

void print_proof(Output& out, const ReadJob& before, const RepairProof& proof) {
  out.text() << before.job.name << ": " << before.circuit.name << "\n\n";
  out.text() << wrapped(capital(word(proof.verdict)) + ": " + proof.why + ".", "  ") << "\n"
             << wrapped("Before: " + proof.fault.candidate.title() +
                            (proof.flow_before ? ", losing " + flow_words(out, *proof.flow_before) : ""),
                        "  ");
  out.text() << "After:  gone " << percent(proof.gone) << ", as it was " << percent(proof.unchanged)
             << ", there with another size " << percent(proof.changed) << "\n";
  if (proof.flow_after)
    out.text() << wrapped("        if it is still there it loses " + flow_words(out, *proof.flow_after), "        ");
  out.text() << "\n"
             << wrapped(
                    "  Flows at " + out.shown(reference_pressure, Quantity::pressure) +
                        " with the hottest log's oil; brackets hold the middle 90 %. Assumed beforehand: gone 60 %, "
                        "as it was 20 %, another size 20 %. The place is not proved by pressure: only that the oil "
                        "no longer goes there.",
                    "  ");
  if (proof.verdict != RepairProof::Verdict::proved)
    out.text() << "\n"
               << wrapped(
                      "Next: \"railseep next\" with the new logs as a job of their own says what to check. Before "
                      "anything is opened: key off, wait, rest volts.",
                      "  ");
}

/// Proved; still there, or something else is; or the logs do not tell.
Answered proved(const RepairProof& proof) {
  if (proof.verdict == RepairProof::Verdict::proved) return Answered::yes;
  const bool there = proof.verdict == RepairProof::Verdict::something_left || proof.unchanged > proof.gone;
  return there ? Answered::no : Answered::open;
}

int run_proof(const ProofChoices& choices) {
  Output out(choices.output, {});
  const Job job = read_job(data_file(choices.job));
  const ReadJob before = with_evidence(job), after = with_evidence(job, Stage::after);
  const RepairProof proof = prove_repair(before.circuit, before.evidence, after.evidence,
                                         read_priors(data_file(choices.priors)), watched(choices.threads));
  print_proof(out, before, proof);
  out.json(proof_json(before, proof));
  return out.code(proved(proof));
}

}  // namespace

void add_proof(CLI::App& program, Run& run) {
  auto choices = std::make_shared<ProofChoices>();
  CLI::App* command =
      program.add_subcommand("proof", "Say whether a repair is proved, from the logs before and after it");
  command->add_option("job", choices->job, "Job file whose logs after the repair say \"stage\": \"after\"")->required();
  command->add_option("--priors", choices->priors, "How likely each kind of fault is beforehand")
      ->capture_default_str();
  add_threads(*command, choices->threads);
  add_output_options(*command, choices->output);
  add_verdict(*command, choices->output, "the repair is proved");
  command->callback([choices, &run] { run = [choices] { return run_proof(*choices); }; });
}

}  // namespace railseep
