// An exercise that is played: the job and its clock, the engine and what it showed, and what can be done.
#include <algorithm>
#include <cmath>

#include "look.hpp"
#include "training/suspicion.hpp"
#include "training_parts.hpp"
#include "views.hpp"
#include "words/caution_words.hpp"
#include "words/cost_words.hpp"

namespace railseep::gui {

namespace {

const Session& session_of(const App& app) { return app.training.played->session; }

/// What is used of something, as a bar with its words.
void draw_used(std::string_view id, const std::string& words, double share) {
  draw_share(words, share);
  note_widget(id);
}

void draw_clock_and_purse(const Session& session) {
  const Exercise& exercise = session.exercise();
  draw_used("clock", "of the time: " + hours_words(session.clock()) + " of " + hours_words(exercise.clock),
            session.clock() / exercise.clock);
  draw_used("purse", "of the money: " + money_words(session.spent()) + " of " + money_words(exercise.money),
            session.spent() / exercise.money);
}

/// How the engine stands in the shop.
void draw_stand(const App& app) {
  const Session& session = session_of(app);
  const BayState& state = session.bay().state();
  const ShownUnits& units = app.settings.units;
  say("Oil at " + units.text(state.oil_temperature, Quantity::temperature, {}, 2) + ", batteries rest at " +
      units.text(state.battery * session.table().circuit.starter.voltage, Quantity::voltage, "V", 3) + ".");
  std::string open;
  for (const std::string& group : session.open()) open += (open.empty() ? "Open: " : ", ") + group;
  if (!open.empty()) say(open + ".");
}

/// Each move in a line or two, the last one first.
void draw_moves_made(const App& app) {
  const Session& session = session_of(app);
  if (session.steps().empty()) return;
  heading("What was done");
  for (std::size_t i = session.steps().size(); i-- > 0;) {
    const Step& step = session.steps()[i];
    say(std::to_string(i + 1) + "  " + move_text({step.move.verb, step.move.what, "", ""}));
    ImGui::Indent(em());
    for (const std::string& line : step.told) say_quietly(line);
    ImGui::Unindent(em());
  }
}

/// Cautions of an action, before it is done.
void draw_training_cautions(const Action& action) {
  if (action.cautions.empty()) return;
  ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
  for (const std::string& line : caution_lines(action.cautions)) say("! " + line);
  ImGui::PopStyleColor();
}

/// What else a move is told: pressure, seconds.
void draw_amounts(App& app, const Action& action) {
  MoveDraft& draft = app.training.draft;
  const ShownUnits& units = app.settings.units;
  if (action.at_pressure) {
    say("Air pressure");
    edit_number("air pressure", draft.pressure, Quantity::pressure, units, {}, 10 * em());
  }
  if (action.energised) {
    say("The regulator is energised for");
    edit_number("energised for", draft.pulse, Quantity::time, units, "s", 10 * em());
  }
  if (action.for_seconds) {
    say("Crank for");
    edit_number("crank for", draft.crank_time, Quantity::time, units, "s", 10 * em());
  }
  if (action.for_minutes) {
    say("Wait for");
    edit_number("wait for", draft.waiting, Quantity::time, units, "min", 10 * em());
  }
}

/// What the learner suspects and expects: said before it costs anything.
void draw_saying(App& app, const Action& action) {
  MoveDraft& draft = app.training.draft;
  say("What do you suspect most?");
  combo("suspect", 0, draft.suspect, suspicions(session_of(app).table().belief),
        [](const std::string& one) { return one.empty() ? std::string("Choose ...") : one; });
  say("What do you expect?");
  combo("expect", 0, draft.expect, action.expected,
        [](const std::string& one) { return one.empty() ? std::string("Choose ...") : one; });
}

/// The action that stands unfolded: how it is done, what it takes, and the button that does it.
void draw_action(App& app, const Action& action) {
  Training& training = app.training;
  const Session& session = session_of(app);
  if (!action.how.empty()) say(action.how);
  if (action.cost) say_quietly("Takes " + cost_of_move(*action.cost, session.table().costs.currency) + ".");
  draw_training_cautions(action);
  draw_amounts(app, action);
  if (action.paid) draw_saying(app, action);
  const bool said = !action.paid || (!training.draft.suspect.empty() && !training.draft.expect.empty());
  if (button("Do it##move", 8 * em(), said && !training.running()))
    play_move(app, move_of(action, training.draft, app.settings.units));
  if (!said) say_quietly("First say what you suspect and what you expect.");
}

void draw_actions(App& app) {
  MoveDraft& draft = app.training.draft;
  for (const Action& action : actions_of(session_of(app))) {
    if (action.group != draft.group) continue;
    if (app.training.projector && action.move.verb == "hint") continue;
    const bool unfolded = draft.action == action.id();
    ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, unfolded ? 2.0f : 0.0f);
    const bool pressed = large_button("action/" + action.id(), action.words, "", 0);
    ImGui::PopStyleVar();
    if (pressed) {
      draft.action = unfolded ? "" : action.id();
      draft.expect.clear();
    }
    if (!unfolded) continue;
    ImGui::Indent(0.7f * em());
    draw_action(app, action);
    ImGui::Unindent(0.7f * em());
  }
}

/// The place chosen in the drawing, and a way to what it is behind.
void draw_chosen_place(App& app) {
  const std::string& place = app.training.sight.place;
  if (place.empty()) return say_quietly("Press a place in the drawing: it tells what it is behind.");
  const Session& session = session_of(app);
  const auto part = std::ranges::find(session.parts(), place, &Part::place);
  if (part == session.parts().end()) return say(place);
  say(place + ", behind: " + part->group);
  if (button("To its cover##place")) {
    app.training.draft.group = "Open";
    app.training.draft.action = move_text({"open", part->group, "", ""});
    app.training.draft.expect.clear();
    app.training.tab = 2;
  }
}

}  // namespace

void draw_training_step(const App& app, const Step& step) {
  const Palette& p = palette();
  for (const std::string& line : step.told) say(line);
  if (step.as_expected) {
    ImGui::PushStyleColor(ImGuiCol_Text, *step.as_expected ? p.good : p.leak);
    say(*step.as_expected ? "That is as you expected." : "That is not as you expected.");
    ImGui::PopStyleColor();
  }
  if (!step.ruled_out.empty() && !app.training.projector) say(step.ruled_out);
  say_quietly("It took " + cost_of_move(step.cost, session_of(app).table().costs.currency) + ".");
}

void draw_training_job(App& app) {
  const Session& session = session_of(app);
  const Exercise& exercise = session.exercise();
  draw_training_top(app);
  heading(exercise.name);
  say(exercise.complaint);
  say_quietly("Engine: " + session.table().circuit.name + ". Level " + std::to_string(exercise.level) + ", " +
              std::string(level_words(exercise.level)) + ".");
  draw_clock_and_purse(session);
  draw_stand(app);
  if (session.over() && button("To the debrief")) look_back(app);
  draw_moves_made(app);
}

void draw_training_engine(App& app) {
  Training& training = app.training;
  const Session& session = session_of(app);
  if (training.running()) say("It is being done ...");
  if (training.trouble) say_trouble(*training.trouble);
  if (session.steps().empty()) {
    heading("Not touched yet");
    say("Ask the driver, look and measure before you open anything. Every move is saved.");
  } else {
    const Step& step = session.steps().back();
    heading(std::to_string(session.steps().size()) + "  " + move_text({step.move.verb, step.move.what, "", ""}));
    draw_training_step(app, step);
  }
  if (!training.circuit) return;
  training.diagram.for_class = is_for_class(app);
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const float least = least_diagram(training.circuit, training.diagram).y;
  draw_diagram("training diagram", {room.x, std::max(least, room.y - 3.6f * em())}, training.circuit, training.diagram,
               training.sight, app.settings.units, false);
  ImGui::Dummy({0, 0});
  draw_chosen_place(app);
}

void draw_training_moves(App& app) {
  MoveDraft& draft = app.training.draft;
  heading("What do you do?");
  const std::vector<std::string> groups = action_groups();
  if (draft.group.empty()) draft.group = groups.front();
  int chosen = static_cast<int>(std::ranges::find(groups, draft.group) - groups.begin());
  if (choice("moves", groups, chosen)) {
    draft.group = groups[static_cast<std::size_t>(chosen)];
    draft.action.clear();
    draft.expect.clear();
  }
  ImGui::Dummy({0, 0.2f * em()});
  draw_actions(app);
}

void draw_training_play(App& app) {
  struct Part {
    const char* words;
    void (*draw)(App&);
  };
  constexpr Part parts[] = {
      {"The job", draw_training_job}, {"The engine", draw_training_engine}, {"What to do", draw_training_moves}};
  const ImVec2 room = ImGui::GetContentRegionAvail();
  constexpr float all_beside = 60;  // from this width on they stand side by side [em]
  if (room.x < all_beside * em()) {
    std::vector<std::string> words;
    for (const Part& part : parts) words.emplace_back(part.words);
    choice("training part", words, app.training.tab);
    begin_panel(parts[app.training.tab].words, {0, 0});
    parts[app.training.tab].draw(app);
    return ImGui::EndChild();
  }
  const float gap = 0.5f * em();
  const float widths[] = {0.27f, 0.43f, 0.3f};
  for (int i = 0; i < 3; ++i) {
    begin_panel(parts[i].words, {i == 2 ? 0 : widths[i] * (room.x - 2 * gap), 0});
    parts[i].draw(app);
    ImGui::EndChild();
    if (i < 2) ImGui::SameLine(0, gap);
  }
}

}  // namespace railseep::gui
