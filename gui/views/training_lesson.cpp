// A lesson: one state of an engine after the other, a question to each, the class's prediction, then what happens.
#include "look.hpp"
#include "procedure/crank.hpp"
#include "training_parts.hpp"
#include "views.hpp"

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
  if (teaching.state == 0 && !teaching.shown) say(teaching.lesson.opening);
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

void draw_lesson_curves(App& app, ImVec2 size) {
  Teaching& teaching = app.training.teaching;
  WhatIf& sight = teaching.sight;
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
  plot("lesson plot", size, picture, sight.axis, teaching.plot, app.settings.units);
}

/// Drawing and curves, one below the other; where that leaves no room for the names in the drawing, one at a time.
void draw_sight(App& app) {
  Teaching& teaching = app.training.teaching;
  WhatIf& sight = teaching.sight;
  sight.axis.next_frame();
  if (sight.axis.cursor) sight.time = *sight.axis.cursor;
  const float least = least_diagram(teaching.circuit, teaching.diagram).y;
  const bool curves = sight.now || sight.before;
  const auto draw_drawing = [&](float high) {
    draw_diagram("lesson diagram", {ImGui::GetContentRegionAvail().x, high}, teaching.circuit, teaching.diagram, sight,
                 app.settings.units, app.settings.motion && sight.now != nullptr);
  };
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const float lowest = 12 * em();  // below that it is scrolled
  if (!curves) return draw_drawing(std::max(lowest, room.y));
  const float gap = 0.3f * em() + 2 * ImGui::GetStyle().ItemSpacing.y, least_curves = 10 * em();
  if (room.y < least + gap + least_curves) {
    choice("sight", {"Drawing", "Curves"}, teaching.shown_sight);
    const float rest = ImGui::GetContentRegionAvail().y;
    return teaching.shown_sight == 0 ? draw_drawing(std::max(lowest, rest))
                                     : draw_lesson_curves(app, {room.x, std::max(least_curves, rest)});
  }
  // In a low window the curves keep their room.
  const float drawing = std::min(std::max(0.58f * room.y, least), room.y - gap - least_curves);
  draw_drawing(drawing);
  ImGui::Dummy({0, 0.3f * em()});
  draw_lesson_curves(app, {room.x, room.y - drawing - gap});
}

}  // namespace

void draw_training_lesson(App& app) {
  Teaching& teaching = app.training.teaching;
  teaching.diagram.for_class = is_for_class(app);
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const float gap = 0.5f * em(), least_words = 14 * em();
  const float least = least_diagram(teaching.circuit, teaching.diagram).x + 2 * ImGui::GetStyle().WindowPadding.x;
  const float words = std::min(0.42f * room.x, room.x - gap - least);
  const bool wide = words >= least_words;
  begin_panel("lesson words", {wide ? words : 0, wide ? 0 : 0.5f * room.y});
  draw_words(app);
  ImGui::EndChild();
  if (wide) ImGui::SameLine(0, gap);
  begin_panel("lesson sight", {0, 0});
  draw_sight(app);
  ImGui::EndChild();
}

}  // namespace railseep::gui
