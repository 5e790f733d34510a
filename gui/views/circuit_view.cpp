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

/// What a technician would read off, in one line each.
void draw_verdict(const App& app) {
  const Curve* curve = app.what_if.now.get();
  if (!app.what_if.trouble.empty()) {
    say("This can not be computed: " + app.what_if.trouble);
    return;
  }
  if (!curve) return;
  const ShownUnits& units = app.settings.units;
  const CrankSummary& s = curve->summary;
  ImGui::PushStyleColor(ImGuiCol_Text, s.injection_enabled ? palette().good : palette().leak);
  say(s.injection_enabled
          ? "Injection would be enabled" +
                (s.time_to_enable ? " after " + units.text(*s.time_to_enable, Quantity::time, "s", 2) : std::string())
          : "Cranks and does not start: stays below " +
                units.text(app.circuit->control.enable_pressure, Quantity::pressure));
  ImGui::PopStyleColor();
  say_quietly("At the end " + units.text(s.plateau, Quantity::pressure) + " at " +
              units.text(s.duty, Quantity::ratio, {}, 2) + " duty. Computed in " + plain_number(1000 * curve->wait, 2) +
              " ms.");
}

/// "95 °C, hole 0.5 mm at left rail front end plug": what a pinned curve was computed for.
std::string conditions_of(const App& app, const Question& question) {
  std::string words = app.settings.units.text(question.oil_temperature, Quantity::temperature);
  if (question.faults.empty()) return words + ", healthy";
  for (const Fault& fault : question.faults) {
    const FaultKind& kind = kind_of(fault, *app.circuit);
    words += ", " + fault.kind + " " + app.settings.units.text(fault.severity, kind.quantity, kind.unit, 2);
  }
  return words;
}

void add_curves(Picture& picture, const App& app, std::string_view channel) {
  const WhatIf& what_if = app.what_if;
  const Palette& p = palette();
  const auto add = [&](const std::shared_ptr<const Curve>& curve, const char* name, ImU32 colour, Series::Look look) {
    if (curve) picture.series.push_back({name, curve->trace.time, curve->trace.find(channel).value, colour, look});
  };
  for (std::size_t i = 0; i < what_if.pins.size(); ++i)
    add(what_if.pins[i], (std::to_string(i + 1) + ": " + conditions_of(app, what_if.pins[i]->question)).c_str(),
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
  add_curves(pressure, app, signal::shown_pressure), add_curves(duty, app, signal::regulator_duty);
  pressure.most = what_if.fixed_most;
  if (what_if.fixed_most) duty.most = 1;
  const ImVec2 first(beside ? 0.5f * size.x : size.x, beside ? size.y : 0.54f * size.y),
      second(beside ? 0.5f * size.x - 0.5f * em() : size.x, beside ? size.y : 0.46f * size.y - 0.4f * em());
  plot("pressure plot", first, pressure, what_if.axis, what_if.pressure_plot, app.settings.units);
  if (beside) ImGui::SameLine(0, 0.5f * em());
  plot("duty plot", second, duty, what_if.axis, what_if.duty_plot, app.settings.units);
}

/// Up to four curves stay in sight, and the axes where they are.
void draw_pins(WhatIf& what_if) {
  if (button("Pin##pin", 0, what_if.now && what_if.pins.size() < most_pins)) what_if.pins.push_back(what_if.now);
  tooltip("Keeps this curve in sight, with its conditions, while you try something else; up to four");
  ImGui::SameLine(0, 0.3f * em());
  if (button("Unpin##pin", 0, !what_if.pins.empty())) what_if.pins.clear();
  tooltip("Takes all pinned curves away");
  ImGui::SameLine(0, 0.3f * em());
  if (button("Fix axes##axes", 0, true, what_if.fixed_most.has_value())) {
    double most = 0;
    for (const auto& pin : what_if.pins)
      for (const double value : pin->trace.find(signal::shown_pressure).value) most = std::max(most, value);
    if (what_if.now)
      for (const double value : what_if.now->trace.find(signal::shown_pressure).value) most = std::max(most, value);
    constexpr double room = 1.3;  // above the highest curve now
    what_if.fixed_most = what_if.fixed_most || most <= 0 ? std::nullopt : std::optional(room * most);
  }
  tooltip("The axes stay as they are while curves change");
}

/// The whole drawing again, and the healthy engine.
void draw_resets(App& app) {
  DiagramState& diagram = app.diagram;
  const bool moved = diagram.zoom != 1 || diagram.shift.x != 0 || diagram.shift.y != 0;
  if (button("Whole drawing", 0, moved)) diagram.zoom = 1, diagram.shift = {0, 0};
  tooltip("As large as there is room (Home)");
  ImGui::SameLine(0, 0.3f * em());
  if (button("Healthy engine", 0, !(app.what_if.question == healthy(*app.circuit))))
    app.what_if.question = healthy(*app.circuit);
  tooltip("Nothing wrong, and the usual conditions");
}

/// Whether play, time and the buttons beside them have room in one row.
bool fits_one_row(float width) { return width > 51 * em(); }

/// Play, time, resets and pins under the drawing, in one row or two.
void draw_time_row(App& app) {
  WhatIf& what_if = app.what_if;
  const bool one_row = fits_one_row(ImGui::GetContentRegionAvail().x);
  if (button(what_if.playing ? "Stop##play" : "Play##play", 4 * em())) {
    what_if.playing = !what_if.playing;
    if (what_if.playing && what_if.time >= what_if.axis.last) what_if.time = 0;
  }
  tooltip("Runs the crank in the drawing in real time (Ctrl+Space)");
  ImGui::SameLine();
  const double most = what_if.axis.last, least = 0;
  ImGui::SetNextItemWidth(one_row ? -32 * em() : -1);
  ImGui::SliderScalar("##time", ImGuiDataType_Double, &what_if.time, &least, &most, "drawn at %.2f s");
  note_widget("time");
  if (one_row) ImGui::SameLine();
  draw_resets(app);
  ImGui::SameLine(0, 0.3f * em());
  draw_pins(what_if);
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

void draw_picture(App& app, ImVec2 size) {
  begin_panel("picture", size, true, ImGuiWindowFlags_NoScrollbar | ImGuiWindowFlags_NoScrollWithMouse);
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const float row = (fits_one_row(room.x) ? 1.0f : 2.0f) * ImGui::GetFrameHeightWithSpacing();
  const bool beside = room.y < 44 * em() && room.x > 40 * em();  // not much height: the curves share a row
  const float drawing = std::max(8 * em(), (beside ? 0.62f : 0.52f) * (room.y - row));
  draw_diagram("diagram", {room.x, drawing}, app.circuit, app.diagram, app.what_if, app.settings.units,
               app.settings.motion && (app.what_if.playing || app.what_if.in_motion));
  draw_time_row(app);
  draw_curves(
      app, {room.x, std::max(beside ? 8 * em() : 12 * em(), room.y - drawing - row - ImGui::GetStyle().ItemSpacing.y)},
      beside);
  ImGui::EndChild();
}

}  // namespace

void draw_circuit(App& app) {
  if (!app.circuit) {
    say("No circuit is loaded. Choose one in the job.");
    return;
  }
  advance(app.what_if);
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const float panel = 19 * em();
  if (room.x > 2.1f * panel) {
    draw_picture(app, {room.x - panel - 0.5f * em(), 0});
    ImGui::SameLine(0, 0.5f * em());
    draw_panel(app, {0, 0});
  } else {
    draw_picture(app, {0, std::max(28 * em(), room.y)});
    draw_panel(app, {0, 34 * em()});
  }
  ask(app.what_if, app.circuit, app.live, ImGui::IsAnyItemActive());
  note_question(app.what_if, ImGui::IsAnyItemActive());
}

}  // namespace railseep::gui
