#include "cli/plan_details.hpp"

#include <iomanip>
#include <iostream>
#include <set>
#include <sstream>

#include "cli/commands.hpp"
#include "decide/wording.hpp"
#include "procedure/cautions.hpp"
#include "words/cost_words.hpp"
#include "words/shown_units.hpp"

namespace railseep {

namespace {

constexpr std::size_t told_in_full = 3;  // checks

std::string bits(double value) {
  std::ostringstream text;
  text << std::fixed << std::setprecision(2) << value;
  return text.str();
}

void print_table(const Decision& decision) {
  std::cout << "\nChecks (sums in " << decision.costs.currency << "; " << bits(decision.unknown_bits)
            << " bits are not known)\n";
  std::cout << "       takes   sum   tells            bits  bits/h   in all: this, then open   and one more check\n";
  const auto row = [&](std::size_t i) {
    const RankedCheck& check = decision.checks[i];
    std::cout << std::setw(3) << i + 1 << std::setw(9) << minutes_words(check.check.time) << std::setw(6)
              << money_words(check.cost.money) << "   " << std::left << std::setw(16) << check.tells << std::right
              << std::setw(5) << bits(check.bits) << std::setw(8) << bits(check.bits_per_hour) << std::setw(10)
              << money_words(check.alone.money) << std::setw(8) << hours_words(check.alone.time) << std::setw(10)
              << money_words(check.expected.money) << std::setw(8) << hours_words(check.expected.time) << "   "
              << check.check.name << "\n";
  };
  std::cout << (decision.plan.steps.empty() ? "  open nothing" : "  open at once") << std::setw(53)
            << money_words(decision.plan.expected.money) << std::setw(8) << hours_words(decision.plan.expected.time)
            << "\n";
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
            << number << ". " << check.name << ": " << minutes_words(check.time) << ", "
            << money_words(ranked.cost.money) << " " << costs.currency
            << (check.risk.empty() ? "" : "; risk: " + check.risk) << "\n";
  std::cout << wrapped("   " + check.how, "   ");
  for (std::size_t i = 0; i < check.tools.size(); ++i)
    std::cout << (i == 0 ? "   Tools: " : ", ") << check.tools[i] << (i + 1 == check.tools.size() ? "\n" : "");
  printed.print(check.cautions, "   ");
  for (const OutcomeMeaning& meaning : ranked.outcomes) {
    std::ostringstream line;
    line << "   " << std::setw(3) << money_words(100 * meaning.probability) << " %  " << meaning.outcome << ": "
         << meaning.says << ". Then " << meaning.then << ".";
    std::cout << wrapped(line.str(), "          ");
  }
  for (const std::string& note : ranked.notes) std::cout << wrapped("   Assumed: " + note + ".", "     ");
}

void print_step(const Decision& decision, std::size_t index) {
  const OpeningStep& step = decision.plan.steps[index];
  const WorkGroup& group = decision.belief.groups[step.group];
  std::cout << "  " << index + 1 << ". " << step_words(group, step.part) << ": " << hours_words(step.cost.time) << ", "
            << money_words(step.cost.money) << " " << decision.costs.currency
            << (!step.part.empty() ? " to renew and prove"
                : group.opened     ? " to open and look"
                                   : " to look into")
            << "; reached in " << percent(step.reached) << " of cases, found here in " << percent(step.found) << "\n";
  std::string looks;
  for (std::size_t k = 0; k < step.looks_for.size() && (k == 0 || (k < 4 && step.looks_for[k].second >= 0.02)); ++k)
    looks +=
        (k == 0 ? "     Look for: " : "; ") + step.looks_for[k].first + " (" + percent(step.looks_for[k].second) + ")";
  std::cout << wrapped(looks, "       ");
  if (step.part.empty() && !group.together.empty()) {
    std::string together = "     Renew with what is found, it is of the same age: ";
    for (std::size_t k = 0; k < group.together.size(); ++k) together += (k == 0 ? "" : ", ") + group.together[k];
    std::cout << wrapped(together + ". That takes " + cost_words(group.together_cost, decision.costs.currency) +
                             " and spares " + money_words(group.together_saves) + " more in comebacks, on average.",
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
  std::cout << wrapped("  Expected: " + cost_words(plan.expected, decision.costs.currency) + ". It comes back in " +
                           percent(plan.comeback) + " of cases (" + percent(plan.unfound) +
                           " because the fault was not found).",
                       "    ");
  std::cout << wrapped(
      "  Most expensive part first instead: " + cost_words(decision.dearest_first.expected, decision.costs.currency) +
          ". The order above saves " + cost_words(decision.saved, decision.costs.currency) + " on average.",
      "    ");
  std::cout << wrapped("  By the rule of thumb (probability over cost of opening), never stopping early: " +
                           cost_words(decision.by_ratio.expected, decision.costs.currency) + ".",
                       "    ");
}

}  // namespace

void print_plan_details(const Decision& decision, const std::vector<std::string>& done) {
  print_table(decision);
  print_done(done);
  PrintedCautions printed;
  for (std::size_t i = 0; i < std::min(told_in_full, decision.checks.size()) && (i == 0 || decision.checks[i].pays);
       ++i)
    print_check(decision.checks[i], i + 1, decision.costs, printed);
  print_plan(decision, printed);
  std::cout << "\nAssumed\n";
  for (const std::string& line : decision.assumed) std::cout << wrapped("  - " + line, "    ");
}

}  // namespace railseep
