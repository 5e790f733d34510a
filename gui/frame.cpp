#include "frame.hpp"

#include <algorithm>

#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

bool in_sight(const App& app, std::string_view view) { return view == views()[app.view].name; }

void answer_key(App& app, KeyPress key) {
  using What = KeyPress::What;
  double& scale = app.settings.text_scale;
  switch (key.what) {
    case What::view:
      if (key.number >= 0 && key.number < static_cast<int>(views().size())) app.view = key.number;
      break;
    case What::larger: scale = std::min(most_text_scale, scale + 0.1); break;
    case What::smaller: scale = std::max(least_text_scale, scale - 0.1); break;
    case What::usual_size: scale = 1; break;
    case What::save: save_job(app); break;
    case What::open: ask_for_job(app); break;
    case What::undo: undo(app.document); break;
    case What::redo: redo(app.document); break;
    case What::play: app.what_if.playing = !app.what_if.playing; break;
    case What::go: app.going = App::Going{static_cast<Go>(key.number), keyboard_at()}; break;
    case What::place:
      if (!keys_are_taken() && in_sight(app, "Circuit") && app.circuit) choose_neighbour(app.what_if, *app.circuit, key.number);
      break;
    case What::zoom:
      if (!keys_are_taken()) app.diagram.zoom = std::clamp(app.diagram.zoom * (key.number > 0 ? 1.25f : 0.8f), least_zoom, most_zoom);
      break;
    case What::whole:
      if (!keys_are_taken()) app.diagram.zoom = 1, app.diagram.shift = {0, 0};
      break;
  }
}

/// Units switch from everywhere, by one press each.
void draw_unit_buttons(App& app) {
  ShownUnits& units = app.settings.units;
  const auto next = [](const std::string& now, std::initializer_list<const char*> all) {
    auto found = std::find(all.begin(), all.end(), now);
    return std::string(found == all.end() || ++found == all.end() ? *all.begin() : *found);
  };
  if (button(printed_unit(units.pressure) + "##pressure unit", 3.2f * em())) units.pressure = next(units.pressure, {"psi", "bar", "MPa"});
  tooltip("Pressure: psi, bar, MPa");
  ImGui::SameLine(0, 0.2f * em());
  if (button(printed_unit(units.temperature) + "##temperature unit", 2.6f * em())) units.temperature = next(units.temperature, {"degC", "degF"});
  tooltip("Temperature: °C, °F");
  ImGui::SameLine(0, 0.2f * em());
  if (button(units.length + "##length unit", 3 * em())) units.length = next(units.length, {"mm", "in"});
  tooltip("Length: mm, in");
}

/// File and undo, the job's name with its unsaved mark, units.
void draw_top(App& app) {
  Document& document = app.document;
  if (button("Open")) ask_for_job(app);
  tooltip("Open a job (Ctrl+O)");
  ImGui::SameLine(0, 0.2f * em());
  if (button("Save")) save_job(app);
  tooltip("Save the job (Ctrl+S)");
  ImGui::SameLine(0, 0.2f * em());
  if (button("Save as")) ask_for_name(app);
  ImGui::SameLine(0, 0.6f * em());
  if (button("Undo", 0, document.past.size() > 1)) undo(document);
  tooltip("Ctrl+Z");
  ImGui::SameLine(0, 0.2f * em());
  if (button("Redo", 0, !document.future.empty())) redo(document);
  tooltip("Ctrl+Y");
  ImGui::SameLine(0, em());
  const float units = 3.2f * em() + 2.6f * em() + 3 * em() + 0.4f * em();
  const float right = ImGui::GetWindowContentRegionMax().x - units;
  const float room = right - ImGui::GetCursorPosX() - em();
  if (room > 6 * em()) {
    ImGui::AlignTextToFramePadding();
    one_line(document.job.name + (document.unsaved() ? "  ● not saved" : "") + (app.circuit ? "   " + app.circuit->name : ""), room);
    ImGui::SameLine(0, 0);
  }
  if (right > ImGui::GetCursorPosX()) ImGui::SetCursorPosX(right);
  else ImGui::NewLine();
  draw_unit_buttons(app);
}

void draw_message(App& app) {
  const Message& message = *app.message;
  ImGui::PushStyleColor(ImGuiCol_ChildBg, faded(palette().leak, 0.25f));
  const float lines = message.place.empty() ? 2.9f : 4.1f;
  begin_panel("message", {0, lines * 1.25f * em() + em()});
  if (button("Understood##message")) app.message.reset();
  else {
    ImGui::SameLine();
    ImGui::BeginGroup();
    if (!message.place.empty()) say(message.place);
    say(message.found);
    if (!message.expected.empty()) say("→ " + message.expected);
    ImGui::EndGroup();
  }
  ImGui::EndChild();
  ImGui::PopStyleColor();
}

void draw_navigation(App& app, float width, float height) {
  begin_panel("navigation", {width, height});
  int number = 0;
  for (const View& view : views()) {
    if (number > 0) ImGui::Dummy({0, 0.05f * em()});
    ImGui::PushStyleVar(ImGuiStyleVar_ButtonTextAlign, {0, 0.5f});
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, {0.6f * em(), 0.55f * em()});
    if (button(view.name, ImGui::GetContentRegionAvail().x, true, app.view == number)) app.view = number;
    ImGui::PopStyleVar(2);
    tooltip("Key F" + std::to_string(++number));
  }
  ImGui::EndChild();
}

/// The window was asked to close: nothing that is not saved is lost without a word.
void draw_leaving(App& app) {
  if (app.leaving && !app.document.unsaved()) app.quit = true;
  if (app.leaving && !ImGui::IsPopupOpen("leaving")) ImGui::OpenPopup("leaving");
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  ImGui::SetNextWindowPos({screen.x / 2, screen.y / 2}, ImGuiCond_Always, {0.5f, 0.5f});
  ImGui::SetNextWindowSize({std::min(26 * em(), 0.9f * screen.x), 0});
  if (!ImGui::BeginPopupModal("leaving", nullptr, ImGuiWindowFlags_NoDecoration)) return;
  say("\"" + app.document.job.name + "\" has changes that are not saved.");
  const auto close = [&] { app.leaving = false, ImGui::CloseCurrentPopup(); };
  if (button("Save##leaving")) {
    close();
    save_job(app);
    app.quit = !app.document.unsaved();
  }
  ImGui::SameLine();
  if (button("Throw away")) app.quit = true;
  ImGui::SameLine();
  if (button("Stay")) close();
  ImGui::EndPopup();
}

/// Tab goes on at once. An arrow key is ImGui's first; where that led nowhere in the next frame, the order of the controls decides.
void follow_keys(App& app) {
  if (!app.going) return;
  App::Going& going = *app.going;
  const bool tab = going.where == Go::next || going.where == Go::previous;
  const bool stuck = !keys_are_taken() && keyboard_at() == going.from;
  if (!tab && stuck && going.frames++ == 0) return;
  if (tab || stuck) go(app.stage, going.where, views()[app.view].name);
  app.going.reset();
}

/// What the control at hand is for; else the keys.
void draw_help(const App& app) {
  ImGui::PushStyleColor(ImGuiCol_Text, palette().quiet);
  std::string words = app.stage.help;
  std::replace(words.begin(), words.end(), '\n', ' ');
  if (words.empty()) {
    words = "Tab or arrow keys: go to a control    Space: press it    F1 to F" + std::to_string(views().size()) + ": pages";
    if (in_sight(app, "Circuit")) words += "    Page Up, Page Down: places    + - Home: zoom";
  }
  one_line(words, ImGui::GetContentRegionAvail().x);
  ImGui::PopStyleColor();
}

/// Undo may have brought back another circuit.
void follow_circuit(App& app) {
  if (app.document.job.circuit == app.circuit_file) return;
  if (!load_circuit(app, app.document.job.circuit)) app.document.job.circuit = app.circuit_file;
}

}  // namespace

void frame(App& app) {
  app.stage.begin();
  for (Worker* worker : app.workers()) worker->poll();
  for (const KeyPress& key : app.keys) answer_key(app, key);
  app.keys.clear();
  take_dropped(app);
  read_logs(app.document, app.reading);

  const ImVec2 size = ImGui::GetIO().DisplaySize;
  ImGui::SetNextWindowPos({0, 0});
  ImGui::SetNextWindowSize(size);
  ImGui::Begin("railseep", nullptr, ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus);
  draw_top(app);
  if (app.message) draw_message(app);
  const float help = size.y > 24 * em() ? em() + ImGui::GetStyle().ItemSpacing.y : 0;
  draw_navigation(app, 7.2f * em(), -help);
  ImGui::SameLine(0, 0.5f * em());
  begin_panel("view", {0, -help}, false);
  views()[app.view].draw(app);
  ImGui::EndChild();
  if (help > 0) draw_help(app);
  follow_ear(app.air, app.sound, in_sight(app, "Air"), app.sounding);
  draw_file_browser(app.browser);
  draw_leaving(app);
  ImGui::End();
  follow_keys(app);
  note_change(app.document, ImGui::IsAnyItemActive());
  follow_circuit(app);
  for (const Worker* worker : app.workers()) app.stage.moving |= worker->busy();
}

}  // namespace railseep::gui
