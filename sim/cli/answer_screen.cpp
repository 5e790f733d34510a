#include <algorithm>
#include <iomanip>
#include <iostream>
#include <sstream>

#include "cli/answer.hpp"
#include "cli/page.hpp"
#include "words/answer.hpp"
#include "words/caution_words.hpp"
#include "words/cost_words.hpp"

namespace railseep {

namespace {

// Lines of a screen, and of each part at most: five are left for the next step.
constexpr std::size_t screen_lines = 30, log_lines = 3, short_lines = 5, place_lines = 7, most_places = 5,
                      sure_lines = 3, caution_lines_most = 5;

std::string title(const Answer& answer) {
  const JobMatch& matched = answer.matched;
  return matched.job.name + ": " + matched.circuit.name;
}

/// "55 %  valve cover, 1.5 h: any of 12 seals ...": what may be wrong, by what is opened; what is left over in one row.
std::vector<std::string> place_paragraphs(const Decision& decision) {
  std::vector<std::string> lines;
  double rest = 1;
  const auto row = [&](double probability, const std::string& text) {
    std::ostringstream line;
    line << std::setw(5) << percent(probability) << " " << text;
    lines.push_back(line.str());
  };
  for (const Whereabouts& one : whereabouts(decision.belief)) {
    if (lines.size() == most_places || one.probability < 0.01) break;
    rest -= one.probability;
    const std::string hours = one.labour > 0 ? ", " + hours_words(one.labour) : "";
    row(one.probability, one.behind.empty() ? one.what : one.behind + hours + ": " + one.what);
  }
  if (rest >= 0.005) row(rest, "anything else");
  return lines;
}

/// Outcomes in numbered lines, as `railseep note` takes them; what follows in each.
std::vector<std::string> outcome_lines(const NextStep& step, std::size_t most, bool with_meaning) {
  std::vector<std::string> lines;
  for (std::size_t i = 0; i < std::min(most, step.outcomes.size()); ++i) {
    const StepOutcome& outcome = step.outcomes[i];
    lines.push_back(std::to_string(i + 1) + ") " + outcome.seen + " (" + percent(outcome.probability) + ")" +
                    (with_meaning && !outcome.says.empty() ? ": " + outcome.says : "") + " -> " + outcome.then);
  }
  if (step.outcomes.size() > most) lines.emplace_back("and what is rarer (--plan)");
  return lines;
}

std::vector<std::string> cautions_of(const NextStep& step) {
  std::vector<std::string> procedures = step.cautions;
  if (procedures.empty()) procedures.emplace_back("opening");
  return caution_lines(procedures);
}

/// The job as it must be typed again.
std::string typed_job(const AnswerChoices& choices) {
  return choices.job.files.size() == 1 ? choices.job.files.front() : "...";
}

}  // namespace

void print_match_screen(Output& out, const Answer& answer) {
  if (!out.speaks()) return;
  const Page page;
  const JobMatch& matched = answer.matched;
  const ShownUnits& units = out.units();
  const NextStep step = next_step(answer.decision);
  const Observations& seen = matched.evidence.observations;
  const std::string above =
      page.strong(title(answer)) + "\n" +
      page.section("LOGS USED", logs_used(matched.circuit, matched.evidence, units), log_lines, "--why") +
      page.section("IN SHORT", in_short(matched.circuit, matched.result, seen, units), short_lines, "--why") +
      page.section("WHERE", place_paragraphs(answer.decision), place_lines, "--places", 6);
  const std::string below =
      page.section("HOW SURE", how_sure(matched.circuit, matched.result, seen), sure_lines, "--why") +
      page.section("CAUTIONS", cautions_of(step), caution_lines_most, "railseep cautions") +
      page.section("MORE", {"--why --places --balance --plan --all; railseep next (the step in full, order, money)"}, 1,
                   "--help");
  // The next step has the lines that are left.
  const auto used = static_cast<std::size_t>(std::ranges::count(above + below, '\n'));
  std::vector<std::string> next{step.title + "."};
  for (const std::string& line : outcome_lines(step, 3, false)) next.push_back(line);
  out.text() << above << page.section("DO NEXT", next, screen_lines - used, "railseep next") << below;
}

void print_next_screen(Output& out, const Answer& answer, const AnswerChoices& choices) {
  if (!out.speaks()) return;
  const Page page;
  const JobMatch& matched = answer.matched;
  const Decision& decision = answer.decision;
  const NextStep step = next_step(decision);
  out.text() << page.strong(title(answer)) << "\n"
             << page.section("LOGS USED", logs_used(matched.circuit, matched.evidence, out.units()), 2, "--why")
             << page.section("IN SHORT",
                             in_short(matched.circuit, matched.result, matched.evidence.observations, out.units()), 3,
                             "railseep match")
             << page.section("CAUTIONS", cautions_of(step), caution_lines_most, "railseep cautions");
  std::vector<std::string> how{step.title + ". " + step.how};
  if (!step.tools.empty()) {
    std::string tools = "Tools: ";
    for (std::size_t i = 0; i < step.tools.size(); ++i) tools += (i == 0 ? "" : ", ") + step.tools[i];
    how.push_back(tools + ".");
  }
  if (!step.why.empty()) how.push_back(step.why + ".");
  out.text() << page.section("DO NEXT", how, 6, "--plan");
  if (!step.outcomes.empty()) out.text() << page.section("THEN", outcome_lines(step, 4, true), 8, "--plan");
  const std::string order =
      "If nothing more is checked, open: " + opening_order(decision) + "; then look at sync, injector drive and fuel.";
  out.text() << page.section("ORDER", {order}, 3, "--plan")
             << page.section("MORE",
                             {"railseep note " + typed_job(choices) +
                              " 1 (that outcome was seen); --plan (all checks "
                              "and steps, with money) --why --places --balance --all"},
                             2, "--help");
}

}  // namespace railseep
