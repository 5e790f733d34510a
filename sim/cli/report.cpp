#include "report/report.hpp"

#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/answer.hpp"
#include "cli/commands.hpp"
#include "job/kept_proof.hpp"
#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

struct ReportChoices {
  AnswerChoices answer;
  std::string html, pdf, shop, date;
};

/// Whether there is anything that a match could be made from.
bool has_evidence(const Evidence& evidence) { return !evidence.logs.empty() || !evidence.observations.empty(); }

int run_report(const ReportChoices& choices) {
  if (choices.html.empty() && choices.pdf.empty())
    throw Error("report", "nothing says where to write", "give --html FILE, --pdf FILE or both; - is standard output");
  Output out(choices.answer.output, {choices.html, choices.pdf});
  ReportFacts facts;
  facts.letterhead = read_shop(choices.shop.empty() ? settings_folder() / "shop.json"
                                                    : std::filesystem::path(data_file(choices.shop)));
  facts.units = out.units();
  facts.date = choices.date;
  facts.program = program_name();
  const ReadJob read = with_evidence(job_of(choices.answer.job, "report"));
  facts.job = &read.job, facts.circuit = &read.circuit;
  std::optional<Answer> found;
  if (has_evidence(read.evidence)) {
    found = answer(choices.answer, "report");
    facts.evidence = &found->matched.evidence, facts.result = &found->matched.result;
    if (!facts.letterhead.currency.empty()) found->decision.costs.currency = facts.letterhead.currency;
    facts.decision = &found->decision;
  }
  const auto find = [&](const std::string& name) { return data_file(job_path(read.job, name)); };
  facts.fingerprints = {{"job (its evidence)", evidence_fingerprint(read.job, find)},
                        {read.job.circuit, file_fingerprint(find(read.job.circuit))}};
  for (const JobLog& log : read.job.logs) facts.fingerprints.emplace_back(log.file, file_fingerprint(find(log.file)));
  const Report report = job_report(facts);
  if (!choices.html.empty()) out.file("report", choices.html, report_html(report));
  if (!choices.pdf.empty()) out.file("report", choices.pdf, report_pdf(report));
  return exit_done;
}

}  // namespace

void add_report(CLI::App& program, Run& run) {
  auto choices = std::make_shared<ReportChoices>();
  CLI::App* command =
      program.add_subcommand("report", "Write what is handed over: a page for the customer, then pages for the file");
  add_job_options(*command, choices->answer.job);
  command->add_option("--html", choices->html, "HTML file to write; - is standard output");
  command->add_option("--pdf", choices->pdf, "PDF file to write; - is standard output");
  command->add_option("--shop", choices->shop,
                      "Name, address, mark and currency of the shop; otherwise shop.json of the settings folder");
  command->add_option("--date", choices->date, "Date that stands on it; otherwise none does");
  add_data_options(*command, choices->answer);
  add_overwrite(*command, choices->answer.output);
  add_unit_options(*command, choices->answer.output);
  add_quiet(*command, choices->answer.output);
  command->callback([choices, &run] { run = [choices] { return run_report(*choices); }; });
}

}  // namespace railseep
