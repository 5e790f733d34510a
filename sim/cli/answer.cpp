#include "cli/answer.hpp"

#include <unistd.h>

#include <algorithm>
#include <iostream>

#include "cli/commands.hpp"
#include "cli/match_details.hpp"
#include "cli/plan_details.hpp"
#include "job/noted_checks.hpp"
#include "words/letterhead.hpp"

namespace railseep {

void add_answer_options(CLI::App& command, AnswerChoices& choices) {
  add_job_options(command, choices.job);
  const std::string more = "More than one screen";
  command.add_flag("--why", choices.why, "Which readings speak for what: evidence, sizes, misfit, what looks alike")
      ->group(more);
  command.add_flag("--places", choices.places, "Every candidate with all its places")->group(more);
  command.add_flag("--balance", choices.balance, "Where the pump's oil goes")->group(more);
  command
      .add_flag("--plan", choices.plan, "All checks, the first of them in full, and the order of opening, with money")
      ->group(more);
  command.add_flag("--all", choices.all, "All of that")->group(more);
  add_data_options(command, choices);
  add_output_options(command, choices.output);
}

void add_data_options(CLI::App& command, AnswerChoices& choices) {
  command.add_option("--priors", choices.priors, "How likely each kind of fault is beforehand")->capture_default_str();
  command.add_option("--costs", choices.costs, "What work, parts and comebacks cost in your shop")
      ->capture_default_str();
  command.add_option("--checks", choices.checks, "Minutes, money and errors of the checks")->capture_default_str();
  command.add_option("--done", choices.done,
                     "Id of a check that cannot be done, or was done and is not in the job, such as \"isolation\"; "
                     "may be given again");
  command.add_flag("--pairs", choices.pairs, "Try two faults at once even where one explains the evidence");
  add_threads(command, choices.threads);
}

Answer answer(const AnswerChoices& choices, const char* command) {
  Costs costs = read_costs(data_file(choices.costs));
  if (const std::string currency = chosen_currency(); !currency.empty()) costs.currency = currency;
  const Checks checks = read_checks(data_file(choices.checks));
  for (const std::string& id : choices.done) check_done(checks, id);
  JobMatch matched = match_job(job_of(choices.job, command), choices.priors, choices.threads,
                               choices.pairs ? Pairs::always : Pairs::when_needed);
  DecideOptions options;
  options.threads = choices.threads, options.done = done_checks(matched.evidence);
  options.pressure_unit = choices.output.units().pressure;
  options.shop = shop_of(matched.job, matched.evidence);
  for (const std::vector<std::string>& more : {noted_checks(matched.job), choices.done})
    options.done.insert(options.done.end(), more.begin(), more.end());
  std::ranges::sort(options.done);
  options.done.erase(std::unique(options.done.begin(), options.done.end()), options.done.end());
  if (isatty(STDERR_FILENO))
    options.progress = [](std::size_t done, std::size_t all, const std::string& what) {
      std::cerr << "\r" << what << ": " << done << " of " << all << std::string(20, ' ') << "\r" << std::flush;
    };
  Decision decision = decide(matched.circuit, matched.result, costs, checks, options);
  return {std::move(matched), std::move(options.done), std::move(decision)};
}

void print_rest(Output& out, const AnswerChoices& choices, const Answer& answer) {
  if (!out.speaks()) return;
  const JobMatch& matched = answer.matched;
  if (choices.all || choices.why)
    print_why(matched.circuit, matched.result, matched.evidence, answer.decision.tellings, out.units());
  if (choices.all || choices.places) print_places(matched.result, out.units());
  if (choices.all || choices.balance) print_balance(matched.result, out.units());
  if (choices.all || choices.plan) print_plan_details(answer.decision, answer.done);
}

}  // namespace railseep
