// After a match: which check tells most for its minutes and money, what each outcome would mean, and what to open in
// which order.
#include <algorithm>
#include <cmath>

#include "decide/wording.hpp"
#include "job/kept_proof.hpp"
#include "job/noted_checks.hpp"
#include "job/told_outcome.hpp"
#include "look.hpp"
#include "procedure/cautions.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

std::string number(double money) { return plain_number(std::round(money), 1); }
std::string sum(double money, const Costs& costs) { return number(money) + " " + costs.currency; }
std::string minutes(double seconds) { return plain_number(std::round(seconds / 60), 1) + " min"; }
std::string hours(double seconds) { return plain_number(seconds / 3600, seconds < 36000 ? 2 : 3) + " h"; }
std::string words(const Cost& cost, const Costs& costs) { return sum(cost.money, costs) + " and " + hours(cost.time); }

void say_cautions(const std::vector<std::string>& procedures) {
  ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
  for (const std::string& procedure : procedures)
    for (const Caution& caution : cautions())
      if (caution.when == procedure) say("! " + std::string(caution.text));
  ImGui::PopStyleColor();
}

/// The one sentence that a technician with a wrench in the hand needs.
void draw_head(const Decision& decision) {
  const std::string plain = words(decision.plan.expected, decision.costs);
  if (decision.check_first && !decision.checks.empty()) {
    const RankedCheck& first = decision.checks.front();
    say("First: " + first.check.name + " (" + minutes(first.check.time) + "). With it a proved repair takes " +
        words(first.expected, decision.costs) + " on average; without it, " + words(first.without, decision.costs) +
        "; opening at once, " + plain + ".");
  } else if (!decision.plan.steps.empty()) {
    say("No check pays for itself now. Open first: " + decision.belief.groups[decision.plan.steps.front().group].name +
        ". A proved repair takes " + plain + " on average.");
  } else {
    say("Open nothing on the oil side: look at sync, injector drive and fuel.");
  }
}

/// A check: name, what it takes, and a bar for what it tells.
void draw_check_card(App& app, const Decision& decision, std::size_t i) {
  const RankedCheck& ranked = decision.checks[i];
  const Palette& p = palette();
  const float wide = ImGui::GetContentRegionAvail().x, high = 3.4f * em();
  const ImVec2 at = ImGui::GetCursorScreenPos(), end(at.x + wide, at.y + high);
  ImGui::PushID(static_cast<int>(i));
  if (ImGui::InvisibleButton("check", {wide, high})) app.deciding.chosen = static_cast<int>(i);
  note_widget("check " + std::to_string(i));
  const bool hot = ImGui::IsItemHovered() || ImGui::IsItemFocused(),
             chosen = app.deciding.chosen == static_cast<int>(i);
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  draw.AddRectFilled(at, end, p.raised, 0.3f * em());
  draw.AddRectFilled(at, {at.x + static_cast<float>(std::clamp(ranked.share, 0.0, 1.0)) * wide, end.y}, p.fill,
                     0.3f * em());
  draw.AddRectFilled({at.x, end.y - 0.2f * em()},
                     {at.x + static_cast<float>(std::clamp(ranked.share, 0.0, 1.0)) * wide, end.y}, p.good,
                     0.1f * em());
  if (hot || chosen) draw.AddRect(at, end, chosen ? p.computed : p.quiet, 0.3f * em(), 0, 2);
  ImGui::SetCursorScreenPos({at.x + 0.5f * em(), at.y + 0.35f * em()});
  one_line(std::to_string(i + 1) + "  " + ranked.check.name, wide - em());
  ImGui::SetCursorScreenPos({at.x + 0.5f * em(), at.y + 1.8f * em()});
  ImGui::PushStyleColor(ImGuiCol_Text, p.quiet);
  const double saved = decision.plan.expected.money - std::min(ranked.alone.money, ranked.expected.money);
  const std::string saves = ranked.pays ? "saves " + number(std::max(0.0, saved)) : "takes more than it spares";
  one_line(minutes(ranked.check.time) + ", " + number(ranked.cost.money) + "   tells " + ranked.tells + "   " + saves,
           wide - em());
  ImGui::PopStyleColor();
  ImGui::PopID();
  ImGui::SetCursorScreenPos({at.x, end.y + 0.7f * ImGui::GetStyle().ItemSpacing.y});
  ImGui::Dummy({0, 0});
  ImGui::SetCursorScreenPos({at.x, end.y + 0.7f * ImGui::GetStyle().ItemSpacing.y});
}

void draw_checks(App& app, const Decision& decision) {
  heading("Checks, the one to do first at the top");
  for (std::size_t i = 0; i < decision.checks.size(); ++i) draw_check_card(app, decision, i);
  if (decision.checks.empty()) say_quietly("Every check is done.");
  say_quietly("Sums in " + decision.costs.currency +
              ". The bar: how much of what is not known now it tells. Savings are averages until the repair is proved, "
              "against opening at once.");
}

/// What a reading showed, as a number that can be put right.
void draw_done_reading(App& app, JobReading& reading, const std::string& id) {
  say(reading.when.empty() ? reading.check : reading.when);
  const ShownUnits& units = app.settings.units;
  if (reading.later)
    return say_quietly("Counts, as " + units.text(reading.value, kind_quantity(reading.kind)) + " " +
                       units.text(*reading.later, Quantity::time, "s", 2) + " after key off.");
  if (edit_number(id + "/number", reading.value, kind_quantity(reading.kind), units, {}, 8 * em()))
    reading.tolerance.reset(), reading.at_least.reset(), reading.at_most.reset();
  say_quietly("Counts. Type the exact number where you have it.");
}

void draw_done_finding(JobFinding& finding, const std::string& id) {
  edit_text(finding.check + ": what did it show?##" + id, finding.text);
  say_quietly(finding.in_words()            ? "Words alone: the match does not use them."
              : finding.bad && *finding.bad ? "Counts as bad."
                                            : "Counts as good.");
}

/// Checks that are not offered again, with what they showed; each can be taken back.
void draw_done(App& app) {
  Job& job = app.document.job;
  std::vector<std::string> held = checks_done(job, app.matching);
  if (held.empty()) return;
  heading("Done");
  std::string gone;
  const auto entry = [&](const std::string& check, const std::string& id, const auto& draw) {
    std::erase(held, check);
    if (button("x##" + id, 1.9f * em())) gone = check;
    tooltip("Take back what was told of this check, and offer it again");
    ImGui::SameLine();
    ImGui::BeginGroup();
    draw();
    ImGui::EndGroup();
  };
  int number = 0;
  for (JobFinding& finding : job.findings) {
    const std::string id = "done " + std::to_string(number++);
    if (const std::string check = noted_check(finding); !check.empty())
      entry(check, id, [&] { draw_done_finding(finding, id); });
  }
  for (JobReading& reading : job.readings) {
    const std::string id = "done " + std::to_string(number++);
    if (!reading.check.empty()) entry(reading.check, id, [&] { draw_done_reading(app, reading, id); });
  }
  if (!gone.empty()) take_back(job, gone);
  std::string others;
  for (const std::string& id : held) others += (others.empty() ? "" : ", ") + id;
  if (!others.empty()) say_quietly("The job's evidence holds already: " + others + ".");
}

/// Buttons side by side that wrap where the room ends. @return the one pressed, -1 for none
int draw_ways(const std::vector<ToldOutcome>& ways, const std::string& outcome) {
  int pressed = -1;
  const float right = ImGui::GetCursorScreenPos().x + ImGui::GetContentRegionAvail().x,
              padding = 2 * ImGui::GetStyle().FramePadding.x;
  for (std::size_t i = 0; i < ways.size(); ++i) {
    const std::string words = ways[i].way.empty() ? "It was so" : ways[i].way;
    const float wide = ImGui::CalcTextSize(words.c_str()).x + padding;
    if (i > 0 && ImGui::GetItemRectMax().x + 0.3f * em() + wide <= right) ImGui::SameLine(0, 0.3f * em());
    if (button(words + "##" + outcome + std::to_string(i))) pressed = static_cast<int>(i);
    note_widget("outcome/" + outcome + "/" + ways[i].way);
    tooltip(ways[i].counts() ? "Becomes evidence in the job: the match weighs it"
                             : "Kept in words: the match does not use them. " + ways[i].unused);
  }
  return pressed;
}

/// An outcome with its probability and what it would mean; its button tells the job that it was so.
void draw_outcome(App& app, const Decision& decision, const RankedCheck& ranked, const OutcomeMeaning& meaning) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float wide = 4 * em();
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  draw.AddRectFilled({at.x, at.y + 0.1f * em()}, {at.x + wide, at.y + 1.1f * em()}, palette().raised, 3);
  draw.AddRectFilled({at.x, at.y + 0.1f * em()},
                     {at.x + static_cast<float>(std::clamp(meaning.probability, 0.0, 1.0)) * wide, at.y + 1.1f * em()},
                     palette().fill, 3);
  ImGui::SetCursorScreenPos({at.x + 0.3f * em(), at.y + 0.1f * em()});
  one_line(percent(meaning.probability), wide);
  ImGui::SetCursorScreenPos({at.x + wide + 0.6f * em(), at.y});
  ImGui::BeginGroup();
  say(meaning.outcome);
  say_quietly("→ " + meaning.says + ". Then " + meaning.then + ".");
  const std::vector<ToldOutcome> ways = ways_to_tell(*app.circuit, decision, ranked, meaning);
  if (const int pressed = draw_ways(ways, meaning.outcome); pressed >= 0)
    tell(app.document.job, ways[static_cast<std::size_t>(pressed)]);
  const auto unused = std::ranges::find_if(ways, [](const ToldOutcome& told) { return !told.counts(); });
  if (unused != ways.end())
    say_quietly((ways.size() > 1 && !unused->way.empty() ? "\"" + unused->way + "\" is kept" : std::string("Kept")) +
                " in words; the match does not use them. " + unused->unused + ".");
  ImGui::EndGroup();
}

/// What is done, with its cautions where it is done, and what each outcome would mean.
void draw_chosen_check(App& app, const Decision& decision) {
  Deciding& deciding = app.deciding;
  if (decision.checks.empty()) return;
  deciding.chosen = std::clamp(deciding.chosen, 0, static_cast<int>(decision.checks.size()) - 1);
  const RankedCheck& ranked = decision.checks[deciding.chosen];
  heading(ranked.check.name);
  say(ranked.check.how);
  const std::vector<std::string> done = checks_done(app.document.job, app.matching);
  const bool noted = std::ranges::find(done, ranked.check.id) != done.end();
  std::string tools;
  for (const std::string& tool : ranked.check.tools) tools += (tools.empty() ? "Tools: " : ", ") + tool;
  if (!tools.empty()) say_quietly(tools);
  if (!ranked.check.risk.empty()) say_quietly("Risk: " + ranked.check.risk);
  say_cautions(ranked.check.cautions);
  heading("What did it show? Press it");
  if (noted)
    say_quietly("This check is done; what it showed stands under \"Done\" or in the job.");
  else if (app.circuit)
    for (const OutcomeMeaning& meaning : ranked.outcomes) draw_outcome(app, decision, ranked, meaning);
  if (!noted) {
    if (button("Something else, or I only want to note it##check"))
      app.document.job.findings.push_back({.check = ranked.check.id, .text = "", .done = ranked.check.id});
    tooltip(
        "Kept in the job: it is not offered again. Write what it showed under \"Done\"; the match does not use words");
  }
  for (const std::string& note : ranked.notes) say_quietly("Assumed: " + note + ".");
}

void draw_step(const Decision& decision, std::size_t i) {
  const OpeningStep& step = decision.plan.steps[i];
  const WorkGroup& group = decision.belief.groups[step.group];
  say(std::to_string(i + 1) + "  " + step_words(group, step.part) + ": " + hours(step.cost.time) + ", " +
      sum(step.cost.money, decision.costs) +
      (!step.part.empty() ? " to renew and prove"
       : group.opened     ? " to open and look"
                          : " to look into"));
  std::string looks;
  for (std::size_t k = 0; k < step.looks_for.size() && (k == 0 || (k < 4 && step.looks_for[k].second >= 0.02)); ++k)
    looks += (k == 0 ? "Look for " : "; ") + step.looks_for[k].first + " (" + percent(step.looks_for[k].second) + ")";
  ImGui::Indent(em());
  if (!looks.empty()) say_quietly(looks + ". It ends here in " + percent(step.found) + " of cases.");
  if (step.part.empty() && !group.together.empty()) {
    std::string together = "Renew with it, being of the same age: ";
    for (std::size_t k = 0; k < group.together.size(); ++k) together += (k == 0 ? "" : ", ") + group.together[k];
    say_quietly(together + " (" + words(group.together_cost, decision.costs) + "; spares " +
                sum(group.together_saves, decision.costs) + " more in comebacks).");
  }
  ImGui::Unindent(em());
}

void draw_plan(const Decision& decision) {
  heading("What to open, in this order, if nothing more is checked");
  bool opens = false;
  for (std::size_t i = 0; i < decision.plan.steps.size(); ++i)
    draw_step(decision, i), opens |= decision.belief.groups[decision.plan.steps[i].group].opened;
  say_quietly("Then stop, and look at sync, injector drive and fuel. Expected: " +
              words(decision.plan.expected, decision.costs) + "; it comes back in " + percent(decision.plan.comeback) +
              " of cases. Most expensive part first would take " +
              words(decision.dearest_first.expected, decision.costs) + ".");
  if (opens) say_cautions({"opening", "hot oil"});
  for (const std::string& line : decision.assumed) say_quietly("Assumed: " + line);
}

void draw_start(App& app) {
  const Deciding& deciding = app.deciding;
  if (!app.matching.result) {
    say("Compare the job's evidence with every fault first: what to do next follows from what may be wrong.");
    if (button("To the match", 14 * em())) show_view(app, "Match");
    return;
  }
  if (std::ranges::any_of(app.matching.missing, &Shortfall::grave)) {
    ImGui::PushStyleColor(ImGuiCol_Text, palette().leak);
    say("The evidence is not enough to act upon; the match says what is missing.");
    ImGui::PopStyleColor();
  }
  if (!deciding.up_to_date(app.matching, checks_done(app.document.job, app.matching))) {
    if (button(deciding.result ? "Reckon again" : "Reckon what to do next", 14 * em()))
      start_deciding(app.deciding, app.matching, app.document.job, app.circuit, app.settings.units.pressure != "psi",
                     app.thinking);
    if (deciding.result) say_quietly("The evidence or the checks done have changed since.");
  }
  if (deciding.trouble) say_trouble(*deciding.trouble);
}

/// What was told since the match is weighed by another one.
void draw_weighing(App& app) {
  Matching& matching = app.matching;
  if (matching.running()) {
    if (draw_progress(*matching.progress, "match", "Best so far: ")) matching.stop(app.slow);
    return;
  }
  if (!matching.result || matching.of == evidence_text(app.document.job)) return;
  ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
  say("The job's evidence has changed: the match has not weighed it yet.");
  ImGui::PopStyleColor();
  if (button("Compare again##next", 14 * em(), app.circuit != nullptr))
    start_match(matching, app.document, app.circuit, app.slow);
}

}  // namespace

void draw_next_view(App& app) {
  const bool wide = ImGui::GetContentRegionAvail().x > 46 * em();
  const std::shared_ptr<const Decision> decision = app.deciding.result;
  begin_panel("checks", {wide ? 0.44f * ImGui::GetContentRegionAvail().x : 0, wide || !decision ? 0 : 26 * em()});
  draw_weighing(app);
  if (!app.deciding.running())
    draw_start(app);
  else if (draw_progress(*app.deciding.progress, "decide"))
    app.deciding.stop(app.thinking);
  if (decision) draw_head(*decision), draw_checks(app, *decision);
  if (app.matching.result) draw_done(app);
  ImGui::EndChild();
  if (wide) ImGui::SameLine(0, 0.5f * em());
  begin_panel("meaning", {0, wide ? 0 : 50 * em()});
  if (decision)
    draw_chosen_check(app, *decision), draw_plan(*decision);
  else
    say_quietly(
        "Here stand the checks that would tell most for their minutes and money, what each outcome would mean, and "
        "what to open in which order. Sums come from models/costs.json: make it your shop's.");
  ImGui::EndChild();
}

}  // namespace railseep::gui
