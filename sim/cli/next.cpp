#include <unistd.h>

#include <cmath>
#include <iomanip>
#include <iostream>
#include <memory>
#include <set>
#include <sstream>

#include "cli/commands.hpp"
#include "cli/job_match.hpp"
#include "cli/next_json.hpp"
#include "decide/decide.hpp"
#include "decide/wording.hpp"
#include "job/noted_checks.hpp"
#include "procedure/cautions.hpp"

namespace railseep {

namespace {

constexpr std::size_t told_in_full = 3;  // checks

struct NextChoices {
  std::string job, costs = "models/costs.json", checks = "models/checks.json", priors = "models/priors.json";
  std::vector<std::string> done;
  bool json = false, metric = false;
  int threads = 0;
};

std::string sum(double money) {
  std::ostringstream text;
  text << std::fixed << std::setprecision(0) << (std::abs(money) < 0.5 ? 0.0 : money);
  return text.str();
}

std::string hours(double seconds) {
  std::ostringstream text;
  text << std::fixed << std::setprecision(1) << seconds / 3600 << " h";
  return text.str();
}

std::string minutes(double seconds) { return sum(seconds / 60) + " min"; }

std::string bits(double value) {
  std::ostringstream text;
  text << std::fixed << std::setprecision(2) << value;
  return text.str();
}

std::string cost_words(const Cost& cost, const Costs& costs) {
  return sum(cost.money) + " " + costs.currency + " and " + hours(cost.time);
}

void print_head(const Decision& decision) {
  std::string behind;
  for (const Covered& one : decision.covers)
    if (one.probability >= 0.02)
      behind += (behind.empty() ? "\nWhere it is: " : "; ") + one.name + " " + percent(one.probability) + " (mostly " +
                one.kinds.front().first + ")";
  std::cout << wrapped(behind + ".", "  ") << "\nWhat to do next\n";
  if (decision.seen) {
    const Checked& look = decision.seen->look;
    std::cout << wrapped(
        "  You have seen it (" + (look.place.empty() ? look.check : look.place) + "): renew it, then prove it.",
        "    ");
    return;
  }
  const RankedCheck* first = decision.check_first ? &decision.checks.front() : nullptr;
  if (first)
    std::cout << wrapped("  Check before anything is opened: " + first->check.name + " (" + minutes(first->check.time) +
                             "). With it a proved repair costs " + cost_words(first->expected, decision.costs) +
                             " on average, without it " + cost_words(first->without, decision.costs) +
                             ", opening at once " + cost_words(decision.plan.expected, decision.costs) + ".",
                         "    ");
  else if (!decision.plan.steps.empty())
    std::cout << wrapped("  No check pays for itself now: open \"" +
                             decision.belief.groups[decision.plan.steps.front().group].name +
                             "\". On average it costs " + cost_words(decision.plan.expected, decision.costs) +
                             " until the repair is proved.",
                         "    ");
  else
    std::cout << wrapped("  Open nothing on the oil side: look at sync, injector drive and fuel.", "    ");
}

void print_table(const Decision& decision) {
  std::cout << "\nChecks (sums in " << decision.costs.currency << "; " << bits(decision.unknown_bits)
            << " bits are not known)\n";
  std::cout << "       takes   sum   tells            bits  bits/h   in all: this, then open   and one more check\n";
  const auto row = [&](std::size_t i) {
    const RankedCheck& check = decision.checks[i];
    std::cout << std::setw(3) << i + 1 << std::setw(9) << minutes(check.check.time) << std::setw(6)
              << sum(check.cost.money) << "   " << std::left << std::setw(16) << check.tells << std::right
              << std::setw(5) << bits(check.bits) << std::setw(8) << bits(check.bits_per_hour) << std::setw(10)
              << sum(check.alone.money) << std::setw(8) << hours(check.alone.time) << std::setw(10)
              << sum(check.expected.money) << std::setw(8) << hours(check.expected.time) << "   " << check.check.name
              << "\n";
  };
  std::cout << (decision.plan.steps.empty() ? "  open nothing" : "  open at once") << std::setw(53)
            << sum(decision.plan.expected.money) << std::setw(8) << hours(decision.plan.expected.time) << "\n";
  for (std::size_t i = 0; i < decision.checks.size(); ++i) {
    if (!decision.checks[i].pays && (i == 0 || decision.checks[i - 1].pays))
      std::cout << "  These cost more than they spare now\n";
    row(i);
  }
  std::cout << wrapped("  \"In all\" is the average until the repair is proved.", "  ");
}

void print_done(const std::vector<std::string>& done) {
  std::string text = "  Done already, not offered again: ";
  for (std::size_t i = 0; i < done.size(); ++i) text += (i == 0 ? "" : ", ") + done[i];
  if (!done.empty()) std::cout << wrapped(text, "    ");
}

/// Each caution once, before the first step that needs it; at later steps its name alone.
class PrintedCautions {
 public:
  void print(const std::vector<std::string>& procedures, const std::string& indent) {
    std::string again;
    for (const std::string& procedure : procedures)
      for (const Caution& caution : cautions()) {
        if (caution.when != procedure) continue;
        if (printed_.insert(caution.id).second)
          std::cout << wrapped(indent + "! " + std::string(caution.text), indent + "  ");
        else
          again += (again.empty() ? "" : ", ") + std::string(caution.id);
      }
    if (!again.empty()) std::cout << wrapped(indent + "! As above: " + again + ".", indent + "  ");
  }

 private:
  std::set<std::string_view> printed_;
};

void print_check(const RankedCheck& ranked, std::size_t number, const Costs& costs, PrintedCautions& printed) {
  const Check& check = ranked.check;
  std::cout << "\n"
            << number << ". " << check.name << ": " << minutes(check.time) << ", " << sum(ranked.cost.money) << " "
            << costs.currency << (check.risk.empty() ? "" : "; risk: " + check.risk) << "\n";
  std::cout << wrapped("   " + check.how, "   ");
  for (std::size_t i = 0; i < check.tools.size(); ++i)
    std::cout << (i == 0 ? "   Tools: " : ", ") << check.tools[i] << (i + 1 == check.tools.size() ? "\n" : "");
  printed.print(check.cautions, "   ");
  for (const OutcomeMeaning& meaning : ranked.outcomes) {
    std::ostringstream line;
    line << "   " << std::setw(3) << sum(100 * meaning.probability) << " %  " << meaning.outcome << ": " << meaning.says
         << ". Then " << meaning.then << ".";
    std::cout << wrapped(line.str(), "          ");
  }
  for (const std::string& note : ranked.notes) std::cout << wrapped("   Assumed: " + note + ".", "     ");
}

void print_step(const Decision& decision, std::size_t index) {
  const OpeningStep& step = decision.plan.steps[index];
  const WorkGroup& group = decision.belief.groups[step.group];
  std::cout << "  " << index + 1 << ". " << step_words(group, step.part) << ": " << hours(step.cost.time) << ", "
            << sum(step.cost.money) << " " << decision.costs.currency
            << (!step.part.empty() ? " to renew and prove"
                : group.opened     ? " to open and look"
                                   : " to look into")
            << "; one comes here in " << percent(step.reached) << " of cases, it ends here in " << percent(step.found)
            << "\n";
  std::string looks;
  for (std::size_t k = 0; k < step.looks_for.size() && (k == 0 || (k < 4 && step.looks_for[k].second >= 0.02)); ++k)
    looks +=
        (k == 0 ? "     Look for: " : "; ") + step.looks_for[k].first + " (" + percent(step.looks_for[k].second) + ")";
  std::cout << wrapped(looks, "       ");
  if (step.part.empty() && !group.together.empty()) {
    std::string together = "     Renew with what is found, it is of the same age: ";
    for (std::size_t k = 0; k < group.together.size(); ++k) together += (k == 0 ? "" : ", ") + group.together[k];
    std::cout << wrapped(together + ". That takes " + cost_words(group.together_cost, decision.costs) + " and spares " +
                             sum(group.together_saves) + " more in comebacks, on average.",
                         "       ");
  }
  if (step.part.empty() && group.comeback > 0)
    std::cout << wrapped("     Chance that a seal left alone there brings it back: " + percent(group.comeback),
                         "       ");
}

void print_plan(const Decision& decision, PrintedCautions& printed) {
  const OpeningPlan& plan = decision.plan;
  std::cout << "\nWhat to open, in this order until a repair is proved, if nothing more is checked\n";
  bool opens = false;
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    print_step(decision, i);
    opens |= decision.belief.groups[plan.steps[i].group].opened;
  }
  if (plan.steps.empty()) std::cout << "  nothing\n";
  std::cout << wrapped("  Then stop, and look at sync, injector drive and fuel.", "  ");
  if (opens) printed.print({"opening", "hot oil"}, "  ");
  std::cout << wrapped("  Expected: " + cost_words(plan.expected, decision.costs) + ". It comes back in " +
                           percent(plan.comeback) + " of cases (" + percent(plan.unfound) +
                           " because the fault was not found).",
                       "    ");
  std::cout << wrapped(
      "  Most expensive part first instead: " + cost_words(decision.dearest_first.expected, decision.costs) +
          ". The order above saves " + cost_words(decision.saved, decision.costs) + " on average.",
      "    ");
  std::cout << wrapped("  By the rule of thumb (probability over cost of opening), never stopping early: " +
                           cost_words(decision.by_ratio.expected, decision.costs) + ".",
                       "    ");
}

int run_next(const NextChoices& choices) {
  const Costs costs = read_costs(data_file(choices.costs));
  const Checks checks = read_checks(data_file(choices.checks));
  for (const std::string& id : choices.done) check_done(checks, id);
  const JobMatch matched = match_job(choices.job, choices.priors, choices.threads);
  DecideOptions options;
  options.threads = choices.threads, options.done = done_checks(matched.evidence), options.metric = choices.metric;
  for (const std::vector<std::string>& more : {noted_checks(matched.job), choices.done})
    options.done.insert(options.done.end(), more.begin(), more.end());
  std::ranges::sort(options.done);
  options.done.erase(std::unique(options.done.begin(), options.done.end()), options.done.end());
  options.shop = shop_of(matched.job, matched.evidence);
  if (isatty(STDERR_FILENO))
    options.progress = [](std::size_t done, std::size_t all, const std::string& what) {
      std::cerr << "\r" << what << ": " << done << " of " << all << std::string(20, ' ') << "\r" << std::flush;
    };
  const Decision decision = decide(matched.circuit, matched.result, costs, checks, options);
  if (choices.json) {
    std::cout << decision_json(matched.job, matched.circuit, decision).dump(2) << "\n";
    return exit_done;
  }
  std::cout << matched.job.name << ": " << matched.circuit.name << "\n"
            << wrapped("Complaint: " + matched.job.complaint, "  ");
  print_head(decision);
  print_table(decision);
  print_done(options.done);
  PrintedCautions printed;
  for (std::size_t i = 0; i < std::min(told_in_full, decision.checks.size()) && (i == 0 || decision.checks[i].pays);
       ++i)
    print_check(decision.checks[i], i + 1, costs, printed);
  print_plan(decision, printed);
  std::cout << "\nAssumed\n";
  for (const std::string& line : decision.assumed) std::cout << wrapped("  - " + line, "    ");
  for (const Caution& caution : cautions_for("")) std::cout << "\n" << wrapped("! " + std::string(caution.text), "  ");
  return exit_done;
}

}  // namespace

void add_next(CLI::App& program, Run& run) {
  auto choices = std::make_shared<NextChoices>();
  CLI::App* command =
      program.add_subcommand("next", "Say what to check next, and what to open in which order, with hours and money");
  command->add_option("job", choices->job, "Job file, such as scenarios/harbour-work-boat/job.json")->required();
  command->add_option("--costs", choices->costs, "What work, parts and comebacks cost in your shop")
      ->capture_default_str();
  command->add_option("--checks", choices->checks, "Minutes, money and errors of the checks")->capture_default_str();
  command->add_option("--priors", choices->priors, "How likely each kind of fault is beforehand")
      ->capture_default_str();
  command->add_option("--done", choices->done,
                      "Id of a check that can not be done, or was done and is not in the job, such as \"isolation\"; "
                      "may be given again");
  add_threads(*command, choices->threads);
  command->add_flag("--json", choices->json, "Print the result for machines");
  command->add_flag("--metric", choices->metric, "MPa and bar instead of psi");
  command->callback([choices, &run] { run = [choices] { return run_next(*choices); }; });
}

}  // namespace railseep
