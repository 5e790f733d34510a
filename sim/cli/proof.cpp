#include <iostream>
#include <memory>

#include "after/repair.hpp"
#include "cli/commands.hpp"
#include "cli/job_match.hpp"
#include "quantity/json_fields.hpp"
#include "words/shown_units.hpp"

namespace railseep {

namespace {

struct ProofChoices {
  std::string job, priors = "models/priors.json";
  bool json = false;
  int threads = 0;
};

std::string flow_words(const Severity& flow) {
  const auto number = [](double si) { return format_quantity(si, Quantity::volume_flow, "cm3/s", 2); };
  const std::string low = number(flow.low);
  return number(flow.best) + " (" + low.substr(0, low.find(' ')) + " to " + number(flow.high) + ")";
}

Json proof_json(const ReadJob& read, const RepairProof& proof) {
  Json json{{"railseep", "proof"},
            {"job", read.job.name},
            {"verdict", word(proof.verdict)},
            {"why", proof.why},
            {"fault", proof.fault.candidate.title()}};
  json["probability"] = {{"gone", proof.gone}, {"unchanged", proof.unchanged}, {"changed", proof.changed}};
  if (proof.flow_before)
    json["oil_lost_before_m3/s"] = {{"best", proof.flow_before->best},
                                    {"90_percent", {proof.flow_before->low, proof.flow_before->high}}};
  if (proof.flow_after)
    json["oil_lost_after_if_any_m3/s"] = {{"best", proof.flow_after->best},
                                          {"90_percent", {proof.flow_after->low, proof.flow_after->high}}};
  return json;
}

int run_proof(const ProofChoices& choices) {
  const Job job = read_job(data_file(choices.job));
  const ReadJob before = with_evidence(job), after = with_evidence(job, Stage::after);
  const RepairProof proof = prove_repair(before.circuit, before.evidence, after.evidence,
                                         read_priors(data_file(choices.priors)), watched(choices.threads));
  if (choices.json) {
    std::cout << proof_json(before, proof).dump(2) << "\n";
    return exit_done;
  }
  std::cout << before.job.name << ": " << before.circuit.name << "\n\n";
  std::string verdict(word(proof.verdict));
  verdict[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(verdict[0])));
  std::cout << wrapped(verdict + ": " + proof.why + ".", "  ");
  std::cout << "\n"
            << wrapped("Before: " + proof.fault.candidate.title() +
                           (proof.flow_before ? ", losing " + flow_words(*proof.flow_before) : ""),
                       "  ");
  std::cout << "After:  gone " << percent(proof.gone) << ", as it was " << percent(proof.unchanged)
            << ", there with another size " << percent(proof.changed) << "\n";
  if (proof.flow_after)
    std::cout << wrapped("        if it is still there it loses " + flow_words(*proof.flow_after), "        ");
  std::cout << "\n  Flows at " << pressure(reference_pressure, false)
            << " with the hottest log's oil; brackets hold the middle 90 %. Priors are assumed: gone 60 %, as it\n"
            << "  was 20 %, another size 20 %. The place is not proved by pressure: only that the oil no longer goes "
               "there.\n";
  if (proof.verdict != RepairProof::Verdict::proved)
    std::cout << "\n"
              << wrapped(
                     "Next: \"railseep next\" with the new logs as a job of their own says what to check. Before "
                     "anything is opened: key off, wait, rest volts.",
                     "  ");
  return exit_done;
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
  command->add_flag("--json", choices->json, "Print the result for machines");
  command->callback([choices, &run] { run = [choices] { return run_proof(*choices); }; });
}

}  // namespace railseep
