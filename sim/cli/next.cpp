#include <memory>

#include "cli/answer.hpp"
#include "cli/answer_json.hpp"
#include "cli/commands.hpp"
#include "cli/next_json.hpp"

namespace railseep {

namespace {

int run_next(const AnswerChoices& choices) {
  Output out(choices.output, {});
  const Answer found = answer(choices, "next");
  print_next_screen(out, found, choices);
  print_rest(out, choices, found);
  out.json(next_json(found));
  return out.code(verdict_of(found));
}

}  // namespace

void add_next(CLI::App& program, Run& run) {
  auto choices = std::make_shared<AnswerChoices>();
  CLI::App* command =
      program.add_subcommand("next", "Say what to check next, and what to open in which order, with hours and money");
  add_answer_options(*command, *choices);
  add_verdict(*command, choices->output, verdict_words);
  command->callback([choices, &run] { run = [choices] { return run_next(*choices); }; });
}

}  // namespace railseep
