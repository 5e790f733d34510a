// What to do now: one check with its outcomes as buttons that count, or a cover to open; below, what else could be done
// and why.
#include <algorithm>
#include <cmath>

#include "bench_parts.hpp"
#include "decide/wording.hpp"
#include "job/told_outcome.hpp"
#include "look.hpp"
#include "procedure/cautions.hpp"
#include "views.hpp"
#include "words/answer.hpp"

namespace railseep::gui {

namespace {

std::string number(double money) { return plain_number(std::round(money), 1); }
std::string sum(double money, const Costs& costs) { return number(money) + " " + costs.currency; }
std::string minutes(double seconds) { return plain_number(std::round(seconds / 60), 1) + " min"; }
std::string hours(double seconds) { return plain_number(seconds / 3600, seconds < 36000 ? 2 : 3) + " h"; }
std::string words(const Cost& cost, const Costs& costs) { return sum(cost.money, costs) + " and " + hours(cost.time); }

std::vector<std::string_view> caution_texts(const std::vector<std::string>& procedures) {
  std::vector<std::string_view> texts;
  for (const std::string& procedure : procedures)
    for (const Caution& caution : cautions())
      if (caution.when == procedure && std::ranges::find(texts, caution.text) == texts.end())
        texts.push_back(caution.text);
  return texts;
}

/// One line with their number, which unfolds to all of them.
void draw_cautions(Bench& bench, const std::vector<std::string>& procedures) {
  const std::vector<std::string_view> texts = caution_texts(procedures);
  if (texts.empty()) return;
  const std::string number =
      "! " + std::to_string(texts.size()) + (texts.size() == 1 ? " caution" : " cautions") + " before you begin";
  if (button((bench.cautions ? "Fold the cautions" : number) + "###cautions")) bench.cautions = !bench.cautions;
  if (!bench.cautions) return;
  ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
  for (const std::string_view text : texts) say("! " + std::string(text));
  ImGui::PopStyleColor();
}

/// The one sentence that a technician with a wrench in the hand needs.
void draw_head(const Decision& decision) {
  const std::string plain = words(decision.plan.expected, decision.costs);
  if (decision.check_first && !decision.checks.empty()) {
    const RankedCheck& first = decision.checks.front();
    say_quietly("With this check first, a proved repair takes " + words(first.expected, decision.costs) +
                " on average; without it, " + words(first.without, decision.costs) + "; opening at once, " + plain +
                ".");
  } else if (!decision.plan.steps.empty()) {
    say_quietly("No check is worth its time and money now. A proved repair takes " + plain + " on average.");
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

void draw_checks(App& app, const Decision& decision, int shown) {
  if (decision.checks.empty() || (decision.checks.size() == 1 && shown == 0)) return;
  heading(decision.check_first ? "Or check something else first" : "If you would rather check first");
  for (std::size_t i = 0; i < decision.checks.size(); ++i)
    if (static_cast<int>(i) != shown) draw_check_card(app, decision, i);
  say_quietly("Sums in " + decision.costs.currency +
              ". The bar: how much of what is not known now it tells. Savings are averages until the repair is proved, "
              "against opening at once.");
}

/// Buttons side by side that wrap where the room ends. @return the one pressed, -1 for none
int draw_ways(const std::vector<ToldOutcome>& ways, const std::string& outcome) {
  int pressed = -1;
  const float right = ImGui::GetCursorScreenPos().x + ImGui::GetContentRegionAvail().x,
              padding = 2 * ImGui::GetStyle().FramePadding.x;
  for (std::size_t i = 0; i < ways.size(); ++i) {
    const float wide = ImGui::CalcTextSize(ways[i].way.c_str()).x + padding;
    if (i > 0 && ImGui::GetItemRectMax().x + 0.3f * em() + wide <= right) ImGui::SameLine(0, 0.3f * em());
    if (button(ways[i].way + "##" + outcome + std::to_string(i))) pressed = static_cast<int>(i);
    note_widget("outcome/" + outcome + "/" + ways[i].way);
  }
  return pressed;
}

/// An outcome with its probability and what it would mean; a press on it tells the job that it was so.
void draw_outcome(App& app, const Decision& decision, const RankedCheck& ranked, const OutcomeMeaning& meaning) {
  const std::vector<ToldOutcome> ways = ways_to_tell(*app.circuit, decision, ranked, meaning);
  const bool one = ways.size() == 1 && ways.front().way.empty();
  const std::string detail = "→ " + meaning.says + ". Then " + meaning.then + ".";
  int pressed = -1;
  if (one) {
    if (large_button("outcome/" + meaning.outcome + "/", percent(meaning.probability) + "  " + meaning.outcome, detail,
                     meaning.probability))
      pressed = 0;
  } else {
    say(percent(meaning.probability) + "  " + meaning.outcome);
    say_quietly(detail);
    pressed = draw_ways(ways, meaning.outcome);
  }
  if (pressed >= 0) tell(app.document.job, ways[static_cast<std::size_t>(pressed)]);
  const auto unused = std::ranges::find_if(ways, [](const ToldOutcome& told) { return !told.counts(); });
  if (unused != ways.end())
    say_quietly((ways.size() > 1 && !unused->way.empty() ? "\"" + unused->way + "\" is kept" : std::string("Kept")) +
                " in words; the match does not use them. " + unused->unused + ".");
}

bool is_done(const App& app, const std::string& id) {
  const std::vector<std::string> done = checks_done(app.document.job, app.matching);
  return std::ranges::find(done, id) != done.end();
}

/// A check: how it is done, with its cautions, and what it can show.
void draw_check(App& app, const Decision& decision, const RankedCheck& ranked) {
  const Check& check = ranked.check;
  say(capital(check.name) + " (" + minutes(check.time) + ")");
  draw_cautions(app.bench, check.cautions);
  say(check.how);
  std::string tools;
  for (const std::string& tool : check.tools) tools += (tools.empty() ? "Tools: " : ", ") + tool;
  if (!tools.empty()) say_quietly(tools);
  if (!check.risk.empty()) say_quietly("Risk: " + check.risk);
  if (std::ranges::find(check.cautions, "air test") != check.cautions.end() && button("Listen with the model"))
    show_model(app, ModelTool::air);
  if (is_done(app, check.id)) return say_quietly("Done: what it showed stands in the story.");
  heading("What did it show? Press it");
  if (app.circuit)
    for (const OutcomeMeaning& meaning : ranked.outcomes) draw_outcome(app, decision, ranked, meaning);
  if (button("Something else, or I only want to note it##check")) {
    app.document.job.findings.push_back({.check = check.id, .text = "", .done = check.id});
    show_card(app, {Card::What::finding, app.document.job.findings.size() - 1});
  }
  tooltip("Kept in the story: it is not offered again. Write there what it showed; the match does not use words");
  for (const std::string& note : ranked.notes) say_quietly("Assumed: " + note + ".");
}

/// Whether one repair will do, once it is asked.
void draw_only_this(App& app, const std::shared_ptr<const Decision>& decision, const std::string& group) {
  OnlyThis& only = app.only_this;
  if (only.answers(decision, group)) return say_quietly(answer_words(*only.answer));
  if (only.running() && only.group == group) return say_quietly("Working out whether it then starts ...");
  if (only.trouble && only.group == group) say_trouble(*only.trouble);
  if (button("Will it start if only this is put right?##" + group))
    ask_if_only(only, app.circuit, decision, group, app.answering_one);
}

void draw_step(App& app, const std::shared_ptr<const Decision>& of, std::size_t i) {
  const Decision& decision = *of;
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
  if (step.part.empty() && app.circuit && is_access(*app.circuit, group.name)) draw_only_this(app, of, group.name);
  if (step.part.empty() && !group.together.empty()) {
    std::string together = "Renew with it, being of the same age: ";
    for (std::size_t k = 0; k < group.together.size(); ++k) together += (k == 0 ? "" : ", ") + group.together[k];
    say_quietly(together + " (" + words(group.together_cost, decision.costs) + "; spares " +
                sum(group.together_saves, decision.costs) + " more in comebacks).");
  }
  ImGui::Unindent(em());
}

void draw_plan(App& app, const std::shared_ptr<const Decision>& of) {
  const Decision& decision = *of;
  heading(decision.check_first ? "What to open instead, in this order" : "What to open, in this order");
  for (std::size_t i = 0; i < decision.plan.steps.size(); ++i) draw_step(app, of, i);
  say_quietly("Then stop, and look at sync, injector drive and fuel. Expected: " +
              words(decision.plan.expected, decision.costs) + "; it comes back in " + percent(decision.plan.comeback) +
              " of cases. Most expensive part first would take " +
              words(decision.dearest_first.expected, decision.costs) + ".");
  for (const std::string& line : decision.assumed) say_quietly("Assumed: " + line);
}

/// A cover to open, or work to do: what is looked for there; when it is done, the repair joins the story.
void draw_opening(App& app, const Decision& decision) {
  const OpeningStep& step = decision.plan.steps.front();
  const WorkGroup& group = decision.belief.groups[step.group];
  say(next_step(decision).title);
  if (group.opened) draw_cautions(app.bench, {"opening", "hot oil"});
  if (large_button("repaired", "It is repaired", "→ The repair joins the story; a hot crank after it proves it.", 0)) {
    show_card(app, add_card(app.document.job, Card::What::repair));
  }
}

/// Why there is nothing to do yet.
void draw_next_state(App& app) {
  const Deciding& deciding = app.deciding;
  if (deciding.running()) {
    if (draw_progress(*deciding.progress, "decide")) app.deciding.stop(app.thinking);
    return;
  }
  if (deciding.trouble) say_trouble(*deciding.trouble);
  const bool old = !deciding.up_to_date(app.matching, basis_of(app.document.job, app.matching, app.settings));
  if (app.matching.result && old && !app.settings.answers && button("Compute what to do", 14 * em()))
    start_deciding(app.deciding, app.matching, app.document.job, app.circuit, app.settings, app.thinking);
  if (!app.matching.result)
    say_quietly("What to do next follows from what may be wrong: it comes here with the answer.");
}

}  // namespace

void draw_next(App& app) {
  const std::shared_ptr<const Decision> decision = app.deciding.result;
  heading("Do this now");
  draw_next_state(app);
  if (!decision) return;
  if (std::ranges::any_of(app.matching.missing, &Shortfall::grave)) {
    ImGui::PushStyleColor(ImGuiCol_Text, palette().leak);
    say("The evidence is not enough to act upon; the answer says what is missing.");
    ImGui::PopStyleColor();
  }
  const bool old = app.deciding.of != app.matching.result || answer_is_old(app) || app.deciding.running();
  ImGui::PushStyleVar(ImGuiStyleVar_Alpha, old ? 0.45f : 1.0f);
  const int count = static_cast<int>(decision->checks.size());
  int shown = app.deciding.chosen;
  if (shown < 0 || shown >= count) shown = decision->check_first && count > 0 ? 0 : Deciding::as_advised;
  if (shown >= 0)
    draw_check(app, *decision, decision->checks[static_cast<std::size_t>(shown)]);
  else if (!decision->plan.steps.empty())
    draw_opening(app, *decision);
  draw_head(*decision);
  draw_plan(app, decision);
  draw_checks(app, *decision, shown);
  ImGui::PopStyleVar();
}

}  // namespace railseep::gui
