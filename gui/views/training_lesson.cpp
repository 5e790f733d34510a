// A lesson: one state of an engine after the other, a question to each, the class's prediction, then what happens.
#include "look.hpp"
#include "procedure/crank.hpp"
#include "training_parts.hpp"

namespace railseep::gui {

namespace {

void draw_steps(App& app) {
  Teaching& teaching = app.training.teaching;
  const std::size_t count = teaching.lesson.states.size();
  if (button("Back##state", 0, teaching.state > 0)) show_state(teaching, teaching.state - 1);
  ImGui::SameLine();
  if (button("Next##state", 0, teaching.state + 1 < count)) show_state(teaching, teaching.state + 1);
  ImGui::SameLine();
  ImGui::AlignTextToFramePadding();
  one_line(std::to_string(teaching.state + 1) + " of " + std::to_string(count), ImGui::GetContentRegionAvail().x);
}

void draw_words(App& app) {
  Training& training = app.training;
  Teaching& teaching = training.teaching;
  draw_training_top(app);
  heading(teaching.lesson.title);
  if (teaching.state == 0) say(teaching.lesson.opening);
  draw_steps(app);
  const LessonState& state = teaching.lesson.states[teaching.state];
  ImGui::PushFont(large_font());
  say(state.title);
  ImGui::PopFont();
  say(state.question);
  edit_text("What does the class say?##prediction", teaching.prediction, 2);
  if (training.trouble) say_trouble(*training.trouble);
  if (!teaching.shown) {
    if (button("Show what happens", 0, !training.running())) show_what_happens(app);
    return;
  }
  heading("What happens");
  for (const std::string& line : teaching.shown->lines) say(line);
  heading("Why");
  say(state.why);
}

void draw_sight(App& app) {
  Teaching& teaching = app.training.teaching;
  WhatIf& sight = teaching.sight;
  const ImVec2 room = ImGui::GetContentRegionAvail();
  sight.axis.next_frame();
  if (sight.axis.cursor) sight.time = *sight.axis.cursor;
  const bool curves = sight.now || sight.before;
  const float drawing = curves ? 0.58f * room.y : room.y;
  draw_diagram("lesson diagram", {room.x, std::max(12 * em(), drawing - em())}, teaching.circuit, teaching.diagram,
               sight, app.settings.units, app.settings.motion && sight.now != nullptr);
  if (!curves) return;
  Picture picture{"Rail pressure",
                  Quantity::pressure,
                  {},
                  {{teaching.circuit->control.enable_pressure, "needed to inject", palette().enable}}};
  const auto add = [&](const std::shared_ptr<const Curve>& curve, const char* name, ImU32 colour, Series::Look look) {
    if (!curve) return;
    picture.series.push_back({name, curve->trace.time, curve->trace.find(signal::shown_pressure).value, colour, look});
  };
  add(sight.before, "the state before", palette().previous, Series::Look::ghost);
  add(sight.now, "now", palette().computed, Series::Look::line);
  ImGui::Dummy({0, 0.3f * em()});
  plot("lesson plot", {room.x, std::max(10 * em(), room.y - drawing - 1.5f * em())}, picture, sight.axis, teaching.plot,
       app.settings.units);
}

}  // namespace

void draw_training_lesson(App& app) {
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const bool wide = room.x > 44 * em();
  begin_panel("lesson words", {wide ? 0.42f * room.x : 0, wide ? 0 : 0.5f * room.y});
  draw_words(app);
  ImGui::EndChild();
  if (wide) ImGui::SameLine(0, 0.5f * em());
  begin_panel("lesson sight", {0, 0});
  draw_sight(app);
  ImGui::EndChild();
}

}  // namespace railseep::gui
