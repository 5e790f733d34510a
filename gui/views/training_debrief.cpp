// A session looked back on: what was done and what followed from it, the points, the program's own way beside it.
#include <algorithm>

#include "look.hpp"
#include "quantity/whole_file.hpp"
#include "training_parts.hpp"
#include "words/cost_words.hpp"

namespace railseep::gui {

namespace {

constexpr std::size_t told_suspicions = 3;
constexpr double worth_a_bar = 0.02;

/// What the program believed after a move, as bars.
void draw_suspicions(const Step& step) {
  for (std::size_t i = 0; i < step.belief.size() && i < told_suspicions; ++i)
    if (i == 0 || step.belief[i].second >= worth_a_bar) draw_share(step.belief[i].first, step.belief[i].second);
}

void draw_time_line(const App& app, const Session& session) {
  heading("What was done, and what the program believed then");
  for (std::size_t i = 0; i < session.steps().size(); ++i) {
    const Step& step = session.steps()[i];
    say(std::to_string(i + 1) + "  at " + minutes_words(step.clock - step.cost.time) + "  " +
        move_text({step.move.verb, step.move.what, "", ""}));
    ImGui::Indent(em());
    if (!step.move.suspect.empty()) say_quietly("Suspected: " + step.move.suspect + ". Expected: " + step.move.expect);
    draw_training_step(app, step);
    if (const std::string wrong = remarks(step); !wrong.empty()) {
      ImGui::PushStyleColor(ImGuiCol_Text, palette().leak);
      say("! " + wrong);
      ImGui::PopStyleColor();
    }
    draw_suspicions(step);
    ImGui::Unindent(em());
  }
}

std::string points_words(double points) { return points > 0 ? plain_number(points, points < 10 ? 2 : 3) : "0"; }

void draw_points(const LookedBack& look) {
  const Grade& grade = look.debrief.grade;
  const Session& session = look.played->session;
  ImGui::PushFont(large_font());
  ImGui::PushStyleColor(ImGuiCol_Text, grade.solved ? palette().good : palette().leak);
  say(capital(word(session.ending())) + ", " + points_words(grade.points) + " of 100 points");
  ImGui::PopStyleColor();
  ImGui::PopFont();
  if (!session.why_over().empty()) say(session.why_over());
  say("Hidden: " + hidden_words(session.exercise()) + ".");
  if (!session.exercise().hidden.lesson.empty()) say(session.exercise().hidden.lesson);
  if (!session.exercise().seal.empty())
    say_quietly("The hidden part is the one that was sealed: SHA-256 " + session.exercise().seal.substr(0, 16) +
                " ...");
  heading("Points off");
  if (grade.deductions.empty()) say_quietly("None.");
  for (const Deduction& deduction : grade.deductions)
    say("-" + points_words(deduction.points) + "  " +
        (deduction.step < 0 ? "" : "move " + std::to_string(deduction.step + 1) + ": ") + deduction.reason);
  if (!grade.solved) say("Not solved: 0 points.");
  say_quietly("A score is feedback, not a certificate.");
}

void draw_way(const char* whose, const Session& session) {
  say(std::string(whose) + ": " + cost_of_move({session.spent(), session.clock()}, session.table().costs.currency) +
      ", of it wasted " + money_words(wasted(session)));
}

void draw_both_ways(const LookedBack& look) {
  const Session &yours = look.played->session, &own = look.par->session;
  heading("Your way and the program's");
  draw_way("You", yours);
  draw_way("The program", own);
  if (!ImGui::BeginTable("ways", 3, ImGuiTableFlags_RowBg | ImGuiTableFlags_SizingStretchProp)) return;
  ImGui::TableSetupColumn("", ImGuiTableColumnFlags_WidthFixed, 2 * em());
  ImGui::TableSetupColumn("You");
  ImGui::TableSetupColumn("The program");
  ImGui::TableHeadersRow();
  const auto put = [](const Session& session, std::size_t i) {
    ImGui::TableNextColumn();
    if (i >= session.steps().size()) return;
    const Step& step = session.steps()[i];
    say(move_text({step.move.verb, step.move.what, "", ""}));
    say_quietly(minutes_words(step.cost.time));
  };
  for (std::size_t i = 0; i < std::max(yours.steps().size(), own.steps().size()); ++i) {
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    say(std::to_string(i + 1));
    put(yours, i);
    put(own, i);
  }
  ImGui::EndTable();
}

void draw_crank_curves(App& app, const LookedBack& look) {
  Training& training = app.training;
  Picture picture{"Hot crank, as the sensor shows it", Quantity::pressure, {}, {}};
  const ImU32 colours[] = {palette().leak, palette().computed, palette().measured};
  for (std::size_t i = 0; i < look.cranks.size(); ++i) {
    const PlotCurve& curve = look.cranks[i];
    const bool dots = curve.mark == PlotCurve::Mark::dots;
    picture.series.push_back({curve.label, curve.x, curve.y, colours[i % std::size(colours)],
                              dots ? Series::Look::points : Series::Look::line});
  }
  picture.levels.push_back({look.played->table->circuit.control.enable_pressure, "needed to inject", palette().enable});
  training.axis.next_frame();
  plot("debrief plot", {ImGui::GetContentRegionAvail().x, 15 * em()}, picture, training.axis, training.plot,
       app.settings.units);
}

void draw_questions(const LookedBack& look) {
  heading("To think about, before you read on");
  for (const std::string& question : questions(look.debrief)) say("? " + question);
  heading("Practise next");
  say(practise_next(look.debrief));
}

void save_debrief(App& app, const char* title, const char* ending, std::string (*text)(const Debrief&)) {
  app.browser.name = "debrief" + std::string(ending);
  app.browser.open(title, {ending}, app.settings.last_folder, true, [&app, text](const std::string& path) {
    attempt(app, [&] {
      if (app.training.looked_back) write_text(path, text(app.training.looked_back->debrief), true);
    });
  });
}

void draw_saves(App& app) {
  const float gap = ImGui::GetStyle().ItemSpacing.x;
  same_row("Save as a web page ...", gap);
  if (button("Save as a web page ...")) save_debrief(app, "Save the debrief as a web page", ".html", debrief_html);
  same_row("Save as a table ...", gap);
  if (button("Save as a table ...")) save_debrief(app, "Save the debrief as a table (CSV)", ".csv", debrief_csv);
  same_row("Begin anew", gap);
  if (button("Begin anew")) begin_exercise(app, app.training.kept.exercise);
  tooltip("The same exercise once more; this session is kept");
}

/// What is being computed, or why it could not be.
void draw_computing(App& app) {
  Training& training = app.training;
  if (training.running() && draw_progress(*training.progress, "debrief")) training.stop(app.playing);
  if (training.trouble) say_trouble(*training.trouble);
}

/// What there is to be seen as long as the debrief is not.
void draw_debrief_to_come(App& app) {
  begin_panel("debrief", {0, 0});
  draw_training_top(app);
  if (app.training.projector) {
    say("The debrief shows the answer, so it is not shown on the projector.");
  } else {
    draw_computing(app);
    if (!app.training.running() && button("Compute the debrief")) look_back(app);
  }
  ImGui::EndChild();
}

}  // namespace

void draw_training_debrief(App& app) {
  Training& training = app.training;
  if (!training.looked_back || training.projector) return draw_debrief_to_come(app);
  draw_training_top(app);
  draw_saves(app);
  const LookedBack& look = *training.looked_back;
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const bool wide = room.x > 60 * em();
  training.tab = std::min(training.tab, 1);
  if (!wide) choice("debrief part", {"Questions, points", "Move by move"}, training.tab);
  if (wide || training.tab == 0) {
    begin_panel("debrief", {wide ? 0.5f * room.x : 0, 0});
    draw_computing(app);
    draw_questions(look);
    draw_points(look);
    draw_both_ways(look);
    ImGui::EndChild();
  }
  if (wide) ImGui::SameLine(0, 0.5f * em());
  if (wide || training.tab == 1) {
    begin_panel("time line", {0, 0});
    draw_crank_curves(app, look);
    draw_time_line(app, look.played->session);
    ImGui::EndChild();
  }
}

}  // namespace railseep::gui
