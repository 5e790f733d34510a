#include <iostream>
#include <memory>

#include "cli/answer.hpp"
#include "cli/commands.hpp"
#include "cli/next_json.hpp"

namespace railseep {

namespace {

int run_next(const AnswerChoices& choices) {
  const Answer found = answer(choices, "next");
  if (choices.json)
    std::cout << decision_json(found.matched.job, found.matched.circuit, found.decision).dump(2) << "\n";
  else
    print_next_screen(found, choices), print_rest(choices, found);
  return exit_done;
}

}  // namespace

void add_next(CLI::App& program, Run& run) {
  auto choices = std::make_shared<AnswerChoices>();
  CLI::App* command =
      program.add_subcommand("next", "Say what to check next, and what to open in which order, with hours and money");
  add_answer_options(*command, *choices);
  command->callback([choices, &run] { run = [choices] { return run_next(*choices); }; });
}

}  // namespace railseep
