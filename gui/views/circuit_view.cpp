// See the circuit, open a leak, move what matters, and watch pressure and duty answer.
#include <algorithm>

#include "fluid/grade.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

std::vector<PossibleFault> faults_of(const Circuit& circuit, const std::string& place) {
  std::vector<PossibleFault> all = possible_faults(circuit);
  std::erase_if(all, [&](const PossibleFault& possible) { return possible.place != place; });
  return all;
}

void draw_fault_slider(App& app, Fault& fault, const PossibleFault& possible) {
  const FaultKind& kind = *possible.kind;
  const bool either_sign = kind.change == FaultKind::Change::adds;
  const double least = either_sign ? -possible.most : std::min(possible.least, fault.severity);
  slider("How much##" + fault.place, fault.severity, kind.quantity, app.settings.units, least,
         std::max(possible.most, fault.severity), !either_sign && possible.least > 0, kind.unit);
  say_quietly(kind.meaning);
}

/// The chosen place: what can be wrong there, and how much.
void draw_place(App& app) {
  WhatIf& what_if = app.what_if;
  const std::vector<PossibleFault> possible = faults_of(*app.circuit, what_if.place);
  say(what_if.place);
  if (possible.empty()) {
    say_quietly("Nothing is known to go wrong here.");
    return;
  }
  std::vector<std::string> words{"tight"};
  if (!possible.front().kind->applies_to.starts_with("site")) words.front() = "good";
  int chosen = 0;
  Fault* fault = find_fault(what_if.question, what_if.place);
  for (const PossibleFault& one : possible) {
    words.emplace_back(one.kind->word);
    if (fault && fault->kind == one.kind->word) chosen = static_cast<int>(words.size()) - 1;
  }
  if (choice("kind", words, chosen)) {
    std::erase_if(what_if.question.faults, [&](const Fault& one) { return one.place == what_if.place; });
    if (chosen > 0) what_if.question.faults.push_back(typical_fault(possible[chosen - 1]));
  }
  fault = find_fault(what_if.question, what_if.place);
  if (fault && chosen > 0) draw_fault_slider(app, *fault, possible[chosen - 1]);
}

/// Every place by name, for those who do not want to look for it in the drawing.
void draw_place_list(App& app) {
  WhatIf& what_if = app.what_if;
  ImGui::SetNextItemWidth(-1);
  if (!ImGui::BeginCombo("##place", what_if.place.empty() ? "Choose a place ..." : what_if.place.c_str(),
                         ImGuiComboFlags_HeightLarge)) {
    note_widget("place");
    return;
  }
  std::string last;
  for (const PossibleFault& possible : possible_faults(*app.circuit)) {
    if (possible.place == last) continue;
    last = possible.place;
    const bool wrong = find_fault(what_if.question, last) != nullptr;
    if (ImGui::Selectable((last + (wrong ? "  ●" : "")).c_str(), last == what_if.place)) what_if.place = last;
    note_widget("place/" + last);
  }
  ImGui::EndCombo();
}

void draw_faults(App& app) {
  WhatIf& what_if = app.what_if;
  heading("What is wrong");
  draw_place_list(app);
  if (!what_if.place.empty())
    draw_place(app);
  else
    say_quietly("Press a numbered place or a symbol in the drawing.");
  std::string gone;
  for (const Fault& fault : what_if.question.faults) {
    if (fault.place == what_if.place) continue;
    ImGui::PushID(fault.place.c_str());
    if (button("x##remove " + fault.place, 1.8f * em())) gone = fault.place;
    tooltip("Mend it");
    ImGui::SameLine(0, 0.3f * em());
    ImGui::AlignTextToFramePadding();
    const FaultKind& kind = kind_of(fault, *app.circuit);
    one_line(fault.place + ": " + fault.kind + " " + app.settings.units.text(fault.severity, kind.quantity, kind.unit),
             ImGui::GetContentRegionAvail().x);
    if (ImGui::IsItemClicked()) what_if.place = fault.place;
    ImGui::PopID();
  }
  std::erase_if(what_if.question.faults, [&](const Fault& fault) { return fault.place == gone; });
}

/// Pump wear has a slider of its own: the commonest doubt beside a leak.
void draw_wear(App& app) {
  WhatIf& what_if = app.what_if;
  const int pump = app.circuit->only<Pump>();
  if (pump < 0) return;
  const std::string& name = app.circuit->links[pump].name;
  Fault* fault = find_fault(what_if.question, name);
  if (fault && fault->kind != "wear") return;
  double wear = fault ? fault->severity : 1;
  if (!slider("Pump wear (1 is new)", wear, Quantity::ratio, app.settings.units, 1, 60, true, "x", 2)) return;
  std::erase_if(what_if.question.faults, [&](const Fault& one) { return one.place == name; });
  if (wear > 1.005) what_if.question.faults.push_back({name, "wear", wear});
}

/// What a stop does: the air that is always left, and what drains back the longer it stands.
void draw_rest(Question& question, const ShownUnits& units) {
  constexpr double least = 30;  // [s], the left end: hardly any time
  if (slider("Engine stood for", question.rest_time, Quantity::time, units, least, 24 * 3600, true, "min") &&
      question.rest_time < 1.02 * least)
    question.rest_time = 0;
  slider("Air left by any stop", question.rest_air, Quantity::ratio, units, 0.002, 0.6, true);
}

void draw_condition(App& app) {
  Question& question = app.what_if.question;
  const ShownUnits& units = app.settings.units;
  heading("While cranking");
  slider("Oil temperature", question.oil_temperature, Quantity::temperature, units, 263.15, 393.15);
  slider("Cranking speed", question.speed, Quantity::speed, units, from_unit(60, Quantity::speed, "rpm"),
         from_unit(260, Quantity::speed, "rpm"));
  draw_wear(app);
  slider("Battery, cranking", question.battery, Quantity::voltage, units, 6, 13, false, "V");
  draw_rest(question, units);
  slider("Cranking time", question.duration, Quantity::time, units, 2, 20, false, "s");
  std::vector<std::string> grades;
  for (const OilGrade& grade : oil_grades()) grades.push_back(grade.name);
  combo("grade", 0, question.oil, grades, [](const std::string& grade) { return "Oil grade: " + grade; });
}

/// Whether it would start, in one line.
void draw_starts(const App& app) {
  const WhatIf& what_if = app.what_if;
  if (!what_if.trouble.empty()) return say("This cannot be computed: " + what_if.trouble);
  if (!what_if.now) return;
  const ShownUnits& units = app.settings.units;
  const CrankSummary& s = what_if.now->summary;
  ImGui::PushStyleColor(ImGuiCol_Text, s.injection_enabled ? palette().good : palette().leak);
  say(s.injection_enabled
          ? "Injection would be enabled" +
                (s.time_to_enable ? " after " + units.text(*s.time_to_enable, Quantity::time, "s", 2) : std::string())
          : "Cranks and does not start: stays below " +
                units.text(app.circuit->control.enable_pressure, Quantity::pressure));
  ImGui::PopStyleColor();
}

/// What a technician would read off.
void draw_verdict(const App& app) {
  draw_starts(app);
  const Curve* curve = app.what_if.now.get();
  if (!curve || !app.what_if.trouble.empty()) return;
  const ShownUnits& units = app.settings.units;
  const CrankSummary& s = curve->summary;
  say_quietly("At the end " + units.text(s.plateau, Quantity::pressure) + " at " +
              units.text(s.duty, Quantity::ratio, {}, 2) + " duty. Computed in " + plain_number(1000 * curve->wait, 2) +
              " ms.");
}

/// "95 °C, hole 0.5 mm at left rail front end plug, 8.0 V": what a curve was computed for. What is as usual is left
/// out.
std::string conditions_of(const App& app, const Question& question) {
  const ShownUnits& units = app.settings.units;
  const Question usual = healthy(*app.circuit);
  std::string words = units.text(question.oil_temperature, Quantity::temperature, {}, 2);
  if (question.faults.empty()) words += ", healthy";
  for (const Fault& fault : question.faults) {
    const FaultKind& kind = kind_of(fault, *app.circuit);
    words += ", " + fault.kind + " " + units.text(fault.severity, kind.quantity, kind.unit, 2) + " at " + fault.place;
  }
  const auto add = [&](double now, double usually, Quantity quantity, std::string_view hint, const char* before = "") {
    if (now != usually) words += std::string(", ") + before + units.text(now, quantity, hint, 2);
  };
  add(question.speed, usual.speed, Quantity::speed, "");
  add(question.battery, usual.battery, Quantity::voltage, "V");
  add(question.rest_time, usual.rest_time, Quantity::time, "min", "stood ");
  add(question.rest_air, usual.rest_air, Quantity::ratio, "", "air ");
  if (question.oil != usual.oil) words += ", " + question.oil;
  return words;
}

/// @param with_conditions pinned curves are named in full; else by their numbers
void add_curves(Picture& picture, const App& app, std::string_view channel, bool with_conditions) {
  const WhatIf& what_if = app.what_if;
  const Palette& p = palette();
  const auto add = [&](const std::shared_ptr<const Curve>& curve, const char* name, ImU32 colour, Series::Look look) {
    if (curve) picture.series.push_back({name, curve->trace.time, curve->trace.find(channel).value, colour, look});
  };
  for (std::size_t i = 0; i < what_if.pins.size(); ++i)
    add(what_if.pins[i],
        (std::to_string(i + 1) + (with_conditions ? ": " + conditions_of(app, what_if.pins[i]->question) : "")).c_str(),
        p.pins[i % std::size(p.pins)], Series::Look::ghost);
  add(what_if.before, "before", p.previous, Series::Look::ghost);
  add(what_if.now, "now", p.computed, Series::Look::line);
}

void draw_curves(App& app, ImVec2 size, bool beside) {
  WhatIf& what_if = app.what_if;
  const ControlSettings& control = app.circuit->control;
  Picture pressure{
      "Rail pressure", Quantity::pressure, {}, {{control.enable_pressure, "needed to inject", palette().enable}}};
  Picture duty{"Regulator duty", Quantity::ratio, {}, {{control.most_duty, "ceiling", palette().ceiling}}};
  pressure.times = beside;
  pressure.slim = duty.slim = app.full_screen;
  add_curves(pressure, app, signal::shown_pressure, true), add_curves(duty, app, signal::regulator_duty, false);
  pressure.most = what_if.fixed_most;
  if (what_if.fixed_most) duty.most = 1;
  const ImVec2 first(beside ? 0.5f * size.x : size.x, beside ? size.y : 0.54f * size.y),
      second(beside ? 0.5f * size.x - 0.5f * em() : size.x, beside ? size.y : 0.46f * size.y - 0.4f * em());
  plot("pressure plot", first, pressure, what_if.axis, what_if.pressure_plot, app.settings.units);
  if (beside) ImGui::SameLine(0, 0.5f * em());
  plot("duty plot", second, duty, what_if.axis, what_if.duty_plot, app.settings.units);
}

/// The axes stay as they are, or follow the curves again.
void fix_axes(WhatIf& what_if) {
  double most = 0;
  const auto take = [&](const std::shared_ptr<const Curve>& curve) {
    if (curve)
      for (const double value : curve->trace.find(signal::shown_pressure).value) most = std::max(most, value);
  };
  for (const auto& pin : what_if.pins) take(pin);
  take(what_if.now);
  constexpr double room = 1.3;  // above the highest curve now
  what_if.fixed_most = what_if.fixed_most || most <= 0 ? std::nullopt : std::optional(room * most);
}

/// What can be done with drawing and curves.
struct PictureButton {
  const char *words, *tip;
  void (*press)(App&);
  bool (*can)(const App&);
};
constexpr PictureButton picture_buttons[] = {
    {"Whole drawing", "As large as there is room (Home)", [](App& app) { app.diagram.show_whole(); },
     [](const App& app) { return !app.diagram.whole(); }},
    {"Healthy engine", "Nothing wrong, and the usual conditions",
     [](App& app) { app.what_if.question = healthy(*app.circuit); },
     [](const App& app) { return !(app.what_if.question == healthy(*app.circuit)); }},
    {"Pin##pin", "Keeps this curve in sight, with its conditions, while you try something else; up to four",
     [](App& app) { app.what_if.pins.push_back(app.what_if.now); },
     [](const App& app) { return app.what_if.now && app.what_if.pins.size() < most_pins; }},
    {"Unpin##pin", "Takes all pinned curves away", [](App& app) { app.what_if.pins.clear(); },
     [](const App& app) { return !app.what_if.pins.empty(); }},
    {"Fix axes##axes", "The axes stay as they are while curves change", [](App& app) { fix_axes(app.what_if); },
     [](const App&) { return true; }},
    {"Full screen", "Drawing and curves alone, in letters that a class reads from 5 m (F11)",
     [](App& app) { show_for_class(app, true); }, [](const App&) { return true; }},
};

float picture_gap() { return 0.3f * em(); }

/// How play, time and the buttons beside them stand: all in one row, or the buttons in rows of their own.
struct TimeRows {
  float buttons = 0;  // width of all [pixels]
  int rows = 2;
};
TimeRows time_rows(float width) {
  TimeRows time;
  float at = 0;
  for (const PictureButton& one : picture_buttons) {
    const float wide = button_width(one.words);
    time.buttons += wide + picture_gap();
    if (at > 0 && at + picture_gap() + wide > width) ++time.rows, at = 0;
    at += wide + (at > 0 ? picture_gap() : 0);
  }
  if (14 * em() + time.buttons <= width) time.rows = 1;
  return time;
}

/// Play, time and buttons under the drawing.
void draw_time_row(App& app) {
  WhatIf& what_if = app.what_if;
  const TimeRows time = time_rows(ImGui::GetContentRegionAvail().x);
  if (button(what_if.playing ? "Stop##play" : "Play##play", 4 * em())) {
    what_if.playing = !what_if.playing;
    if (what_if.playing && what_if.time >= what_if.axis.last) what_if.time = 0;
  }
  tooltip("Runs the crank in the drawing in real time (Ctrl+Space)");
  ImGui::SameLine();
  const double most = what_if.axis.last, least = 0;
  ImGui::SetNextItemWidth(time.rows == 1 ? -time.buttons - 0.3f * em() : -1);
  ImGui::SliderScalar("##time", ImGuiDataType_Double, &what_if.time, &least, &most, "drawn at %.2f s");
  note_widget("time");
  if (time.rows == 1) ImGui::SameLine();
  for (const PictureButton& one : picture_buttons) {
    if (&one != picture_buttons) same_row(one.words, picture_gap());
    const bool fixed = std::string_view(one.words).starts_with("Fix") && what_if.fixed_most;
    if (button(one.words, 0, one.can(app), fixed)) one.press(app);
    tooltip(one.tip);
  }
}

void advance(WhatIf& what_if) {
  what_if.axis.next_frame();
  if (what_if.playing) {
    what_if.time += ImGui::GetIO().DeltaTime;
    if (what_if.time >= what_if.axis.last) what_if.time = what_if.axis.last, what_if.playing = false;
    stage().moving = true;
  } else if (what_if.axis.cursor) {
    what_if.time = *what_if.axis.cursor;
  }
}

void draw_panel(App& app, ImVec2 size) {
  begin_panel("panel", size);
  draw_tool_choice(app);
  draw_verdict(app);
  draw_faults(app);
  draw_condition(app);
  ImGui::EndChild();
}

/// Widths and heights of the picture [pixels].
struct PictureRoom {
  ImVec2 least;         // of the drawing
  float row = 0;        // buttons
  bool beside = false;  // pressure and duty share a row, where there is not much height
  float curves = 0;     // least height
  float least_height() const { return least.y + row + curves + ImGui::GetStyle().ItemSpacing.y; }
};
PictureRoom picture_room(App& app, ImVec2 room) {
  PictureRoom picture;
  picture.least = least_diagram(app.circuit, app.diagram);
  if (room.x < picture.least.x) picture.least.y += ImGui::GetStyle().ScrollbarSize;
  picture.row = static_cast<float>(time_rows(room.x).rows) * ImGui::GetFrameHeightWithSpacing();
  picture.beside = room.y < 44 * em() && room.x > 40 * em();
  picture.curves = (picture.beside ? 8 : 17) * em();
  return picture;
}

/// A drawing whose words need more width than there is can be scrolled sideways.
void draw_drawing(App& app, ImVec2 size, ImVec2 least) {
  const bool moves = app.settings.motion && (app.what_if.playing || app.what_if.in_motion);
  const auto draw = [&](ImVec2 room) {
    draw_diagram("diagram", room, app.circuit, app.diagram, app.what_if, app.settings.units, moves);
  };
  if (size.x >= least.x) return draw(size);
  begin_panel("drawing", size, false, ImGuiWindowFlags_HorizontalScrollbar | ImGuiWindowFlags_NoScrollWithMouse);
  draw({least.x, size.y - ImGui::GetStyle().ScrollbarSize});
  ImGui::EndChild();
}

void draw_picture(App& app, ImVec2 size) {
  begin_panel("picture", size);
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const PictureRoom picture = picture_room(app, room);
  const float both = std::max(room.y, picture.least_height()) - picture.row - ImGui::GetStyle().ItemSpacing.y;
  // In a low window the curves keep their room.
  const float drawing =
      std::min(std::max((picture.beside ? 0.62f : 0.52f) * both, picture.least.y), both - picture.curves);
  draw_drawing(app, {room.x, drawing}, picture.least);
  draw_time_row(app);
  draw_curves(app, {room.x, both - drawing}, picture.beside);
  ImGui::EndChild();
}

/// For the class: what is cranked and whether it would start, the drawing, the curves, and nothing around them.
void draw_for_class(App& app) {
  begin_panel("class", {0, 0});
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const float top = ImGui::GetCursorPosY(), back = button_width("Back");
  one_line(conditions_of(app, app.what_if.question), room.x - back - em());
  draw_starts(app);
  const float below = ImGui::GetCursorPosY();
  ImGui::SetCursorPos({ImGui::GetCursorPosX() + room.x - back, top});
  if (button("Back##class")) show_for_class(app, false);
  tooltip("To the window again (Escape, F11)");
  ImGui::SetCursorPosY(std::max(below, ImGui::GetCursorPosY()));
  const ImVec2 left(0.62f * room.x, ImGui::GetContentRegionAvail().y);
  draw_drawing(app, left, least_diagram(app.circuit, app.diagram));
  ImGui::SameLine(0, 0.5f * em());
  ImGui::BeginGroup();
  draw_curves(app, {room.x - left.x - 0.5f * em(), left.y}, false);
  ImGui::EndGroup();
  ImGui::EndChild();
}

/// Escape leads out of the full screen, unless something else is open that it closes.
void follow_escape(App& app) {
  if (app.full_screen && !ImGui::IsPopupOpen("", ImGuiPopupFlags_AnyPopup) &&
      ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape)))
    show_for_class(app, false);
}

void draw_circuit_in_window(App& app) {
  const ImVec2 room = ImGui::GetContentRegionAvail(), padding = ImGui::GetStyle().WindowPadding;
  const float panel = 19 * em(), gap = 0.5f * em();
  const float beside = room.x - panel - gap;
  if (beside >= std::max(panel, least_diagram(app.circuit, app.diagram).x + 2 * padding.x)) {
    draw_picture(app, {beside, 0});
    ImGui::SameLine(0, gap);
    return draw_panel(app, {0, 0});
  }
  const float needed = picture_room(app, {room.x - 2 * padding.x, room.y - 2 * padding.y}).least_height();
  draw_picture(app, {0, std::max(needed + 2 * padding.y, room.y)});
  draw_panel(app, {0, 34 * em()});
}

}  // namespace

void draw_circuit(App& app) {
  follow_escape(app);
  if (!app.circuit) {
    say("No circuit is loaded. Choose one in the job.");
    return;
  }
  advance(app.what_if);
  app.diagram.for_class = app.full_screen;
  app.full_screen ? draw_for_class(app) : draw_circuit_in_window(app);
  ask(app.what_if, app.circuit, app.live, ImGui::IsAnyItemActive());
  note_question(app.what_if, ImGui::IsAnyItemActive());
}

}  // namespace railseep::gui
