#include <memory>

#include "cli/answer.hpp"
#include "cli/answer_json.hpp"
#include "cli/commands.hpp"
#include "cli/page.hpp"
#include "decide/if_repaired.hpp"
#include "quantity/json_fields.hpp"
#include "words/answer.hpp"

namespace railseep {

namespace {

struct RepairedChoices {
  AnswerChoices answer;
  std::vector<std::string> places;
};

constexpr double worth_a_line = 0.01;
constexpr std::size_t most_lines = 6;

Json repaired_json(const IfRepaired& found) {
  Json json = result_head("repaired");
  json["places"] = found.places;
  json["at_fault"] = found.at_fault;
  json["starts"] = found.starts;
  json["starts_now"] = found.starts_now;
  json["kept_from_starting_by"] = Json::array();
  for (const auto& [what, probability] : found.keeps)
    json["kept_from_starting_by"].push_back({{"what", what}, {"probability", probability}});
  return json;
}

void print_repaired(std::ostream& text, const IfRepaired& found, const RepairedChoices& choices) {
  std::string what;
  for (const std::string& place : choices.places) what += (what.empty() ? "" : ", ") + place;
  text << "If only this is put right: " << what << "\n"
       << "  it starts hot within 10 s    " << percent(found.starts) << " (as it is now " << percent(found.starts_now)
       << ")\n"
       << "  the fault was there          " << percent(found.at_fault) << "\n"
       << "What would still keep it from starting\n";
  std::size_t lines = 0;
  for (const auto& [cause, probability] : found.keeps)
    if (probability >= worth_a_line && lines++ < most_lines)
      text << wrapped("  " + percent(probability) + "  " + cause, "        ");
  if (lines == 0) text << "  nothing that is worth a line\n";
}

int run_repaired(const RepairedChoices& choices) {
  Output out(choices.answer.output, {});
  const Answer found = answer(choices.answer, "repaired");
  const IfRepaired answer = if_repaired(found.matched.circuit, found.decision, choices.places, choices.answer.threads);
  print_repaired(out.text(), answer, choices);
  out.json(repaired_json(answer));
  return exit_done;
}

}  // namespace

void add_repaired(CLI::App& program, Run& run) {
  auto choices = std::make_shared<RepairedChoices>();
  CLI::App* command = program.add_subcommand(
      "repaired", "Say whether the engine will start if only one place, or a few, are put right");
  command
      ->add_option("--place", choices->places,
                   "What is put right: a place, or the cover whose places all are; may "
                   "be given again")
      ->required();
  add_job_options(*command, choices->answer.job);
  add_data_options(*command, choices->answer);
  add_output_options(*command, choices->answer.output);
  command->callback([choices, &run] { run = [choices] { return run_repaired(*choices); }; });
}

}  // namespace railseep
