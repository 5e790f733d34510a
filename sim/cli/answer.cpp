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

ShownUnits AnswerChoices::units() const {
  ShownUnits units = read_units(settings_folder() / "settings.json");
  if (!wanted_units.empty()) units = of_option("--units", [&] { return parse_units(wanted_units, units); });
  if (metric) units.pressure = "MPa";
  return units;
}

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
  command.add_flag("--json", choices.json, "Print the result for machines");
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
  command.add_flag("--metric", choices.metric, "MPa instead of psi: short for --units MPa");
  command
      .add_option("--units", choices.wanted_units,
                  "Units that are shown: words of psi bar MPa, degC degF, mm in; otherwise those of the settings")
      ->envname("RAILSEEP_UNITS");
}

Answer answer(const AnswerChoices& choices, const char* command) {
  Costs costs = read_costs(data_file(choices.costs));
  if (const std::string currency = read_shop(settings_folder() / "shop.json").currency; !currency.empty())
    costs.currency = currency;
  const Checks checks = read_checks(data_file(choices.checks));
  for (const std::string& id : choices.done) check_done(checks, id);
  JobMatch matched = match_job(job_of(choices.job, command), choices.priors, choices.threads,
                               choices.pairs ? Pairs::always : Pairs::when_needed);
  DecideOptions options;
  options.threads = choices.threads, options.done = done_checks(matched.evidence);
  options.metric = choices.units().pressure != "psi";
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

void print_rest(const AnswerChoices& choices, const Answer& answer) {
  const JobMatch& matched = answer.matched;
  if (choices.all || choices.why)
    print_why(matched.circuit, matched.result, matched.evidence, answer.decision.tellings, choices.units());
  if (choices.all || choices.places) print_places(matched.result, choices.units());
  if (choices.all || choices.balance) print_balance(matched.result);
  if (choices.all || choices.plan) print_plan_details(answer.decision, answer.done);
}

}  // namespace railseep
