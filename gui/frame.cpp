#include "frame.hpp"

#include <imgui_internal.h>

#include <algorithm>
#include <utility>

#include "look.hpp"
#include "rescue.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

/// Keys that the drawing of the circuit answers, and the plots where the keyboard is at one or there is no drawing.
void answer_picture_key(App& app, KeyPress key, bool at_plot) {
  using What = KeyPress::What;
  using Plot = Stage::PlotKey::What;
  if (keys_are_taken()) return;
  const Go way = static_cast<Go>(key.number);
  if (at_plot || key.what == What::read || !model_in_sight(app, ModelTool::oil)) {
    const bool sideways = way == Go::left || way == Go::right;
    if (key.what == What::move && sideways)
      app.stage.plot_key = {Plot::move, way == Go::right ? 1 : -1};
    else if (key.what != What::move)
      app.stage.plot_key = {key.what == What::zoom    ? Plot::zoom
                            : key.what == What::whole ? Plot::whole
                                                      : Plot::read,
                            key.number};
    return;
  }
  switch (key.what) {
    case What::zoom:
      app.diagram.zoom = std::clamp(app.diagram.zoom * (key.number > 0 ? 1.25f : 0.8f), least_zoom, most_zoom);
      break;
    case What::whole:
      app.diagram.show_whole();
      break;
    case What::move:
      app.diagram.shift.x += way == Go::right  ? 1
                             : way == Go::left ? -1
                                               : 0,
          app.diagram.shift.y += way == Go::down ? 1
                                 : way == Go::up ? -1
                                                 : 0;
      break;
    default:
      break;
  }
}

/// Keys that mean something to a field in which somebody types are that field's; a dialog has all but those that lead
/// through its controls.
bool is_for_us(const App& app, KeyPress key) {
  using What = KeyPress::What;
  if (!app.asked.empty() || app.browser.shown || app.browser.wanted) return key.what == What::go;
  const bool typing_key = key.what == What::undo || key.what == What::redo || key.what == What::play;
  return !(typing_key && ImGui::GetIO().WantTextInput);
}

void answer_key(App& app, KeyPress key, bool at_plot) {
  using What = KeyPress::What;
  if (!is_for_us(app, key)) return;
  double& scale = app.settings.text_scale;
  switch (key.what) {
    case What::view:
      if (key.number < 0 || key.number >= static_cast<int>(views().size())) break;
      app.view = key.number, app.full_screen = false;
      break;
    case What::full_screen:
      show_for_class(app, !app.full_screen);
      break;
    case What::larger:
      scale = std::min(most_text_scale, scale + 0.1);
      break;
    case What::smaller:
      scale = std::max(least_text_scale, scale - 0.1);
      break;
    case What::usual_size:
      scale = 1;
      break;
    case What::save:
      save_job(app);
      break;
    case What::open:
      ask_for_job(app);
      break;
    case What::begin:
      new_job(app);
      break;
    case What::undo:
      undo_step(app);
      break;
    case What::redo:
      redo_step(app);
      break;
    case What::play:
      app.what_if.playing = !app.what_if.playing;
      break;
    case What::go:
      app.going = App::Going{static_cast<Go>(key.number), keyboard_at()};
      break;
    case What::place:
      if (!keys_are_taken() && model_in_sight(app, ModelTool::oil) && app.circuit)
        choose_neighbour(app.what_if, *app.circuit, key.number);
      break;
    case What::zoom:
    case What::whole:
    case What::move:
    case What::read:
      answer_picture_key(app, key, at_plot);
      break;
  }
}

constexpr float unit_widths[] = {3.2f, 2.6f, 3};  // of the unit buttons [em]

/// Units switch from everywhere, by one press each.
void draw_unit_buttons(App& app) {
  ShownUnits& units = app.settings.units;
  const auto next = [](const std::string& now, std::initializer_list<const char*> all) {
    auto found = std::find(all.begin(), all.end(), now);
    return std::string(found == all.end() || ++found == all.end() ? *all.begin() : *found);
  };
  if (button(printed_unit(units.pressure) + "##pressure unit", unit_widths[0] * em()))
    units.pressure = next(units.pressure, {"psi", "bar", "MPa"});
  tooltip("Pressure: psi, bar, MPa");
  ImGui::SameLine(0, 0.2f * em());
  if (button(printed_unit(units.temperature) + "##temperature unit", unit_widths[1] * em()))
    units.temperature = next(units.temperature, {"degC", "degF"});
  tooltip("Temperature: °C, °F");
  ImGui::SameLine(0, 0.2f * em());
  if (button(units.length + "##length unit", unit_widths[2] * em())) units.length = next(units.length, {"mm", "in"});
  tooltip("Length: mm, in");
}

/// What can be done to the job as a whole.
struct FileButton {
  const char* words;
  const char* tip;
  void (*press)(App&);
  bool (*can)(const App&);
};
constexpr FileButton file_buttons[] = {
    {"New", "Begin a new job (Ctrl+N)", new_job, [](const App&) { return true; }},
    {"Open", "Open a job (Ctrl+O)", ask_for_job, [](const App&) { return true; }},
    {"Save", "Save the job (Ctrl+S)", save_job, [](const App&) { return true; }},
    {"Save as", "Save the job under another name", ask_for_name, [](const App&) { return true; }},
    {"Undo", "Take back the last change (Ctrl+Z)", undo_step,
     [](const App& app) {
       return (model_in_sight(app, ModelTool::oil) ? app.what_if.past.size() : app.document.past.size()) > 1;
     }},
    {"Redo", "Do again what was taken back (Ctrl+Y)", redo_step,
     [](const App& app) {
       return !(model_in_sight(app, ModelTool::oil) ? app.what_if.future.empty() : app.document.future.empty());
     }},
};

float file_buttons_width() {
  float wide = 0;
  for (const FileButton& one : file_buttons) wide += button_width(one.words) + 0.2f * em();
  return wide;
}

/// The job's name with its mark where it is not saved, and its circuit, in what room there is.
void draw_job_name(const App& app, float room) {
  if (room < 3 * em()) return;
  ImGui::AlignTextToFramePadding();
  one_line((app.document.unsaved() ? "● not saved  " : "") + app.document.job.name +
               (app.circuit ? "   " + app.circuit->name : ""),
           room);
}

/// The pages, one button each, one below the other. @return whether one was pressed
bool draw_pages(App& app, float width) {
  const int before = app.view;
  int number = 0;
  for (const View& view : views()) {
    if (number > 0) ImGui::Dummy({0, 0.05f * em()});
    ImGui::PushStyleVar(ImGuiStyleVar_ButtonTextAlign, {0, 0.5f});
    if (button(view.name, width, true, app.view == number)) app.view = number;
    ImGui::PopStyleVar();
    tooltip(std::string(view.about) + " (F" + std::to_string(++number) + ")");
  }
  return app.view != before;
}

/// A window too narrow for buttons and pages has them in a menu.
void draw_small_top(App& app) {
  if (button("Menu")) ImGui::OpenPopup("menu");
  tooltip("Pages, new, open, save, undo, units");
  ImGui::SameLine();
  draw_job_name(app, ImGui::GetContentRegionAvail().x);
  if (!ImGui::BeginPopup("menu")) return;
  ImGui::BeginGroup();
  if (draw_pages(app, 6 * em())) ImGui::CloseCurrentPopup();
  ImGui::EndGroup();
  ImGui::SameLine();
  ImGui::BeginGroup();
  bool second = false;  // two in a row: the menu of a low window has room for no more rows
  for (const FileButton& one : file_buttons) {
    if (std::exchange(second, !second)) ImGui::SameLine(0, 0.2f * em());
    if (button(one.words, 4.5f * em(), one.can(app))) one.press(app), ImGui::CloseCurrentPopup();
    tooltip(one.tip);
  }
  draw_unit_buttons(app);
  ImGui::EndGroup();
  ImGui::EndPopup();
}

float unit_buttons_width() { return (unit_widths[0] + unit_widths[1] + unit_widths[2] + 0.4f) * em(); }

/// The pages, side by side.
void draw_page_row(App& app) {
  for (int i = 0; i < static_cast<int>(views().size()); ++i) {
    if (button(views()[i].name, 0, true, app.view == i)) app.view = i;
    tooltip(std::string(views()[i].about) + " (F" + std::to_string(i + 1) + ")");
    ImGui::SameLine(0, 0.2f * em());
  }
  ImGui::SameLine(0, em());
}

float page_row_width() {
  float wide = em();
  for (const View& view : views()) wide += button_width(view.name) + 0.2f * em();
  return wide;
}

bool is_small() {
  return page_row_width() + file_buttons_width() + unit_buttons_width() + em() > ImGui::GetContentRegionAvail().x;
}

/// Pages, file and undo, the job's name with its unsaved mark, units.
void draw_top(App& app) {
  draw_page_row(app);
  for (const FileButton& one : file_buttons) {
    if (button(one.words, 0, one.can(app))) one.press(app);
    tooltip(one.tip);
    ImGui::SameLine(0, 0.2f * em());
  }
  ImGui::SameLine(0, em());
  const float right = ImGui::GetWindowContentRegionMax().x - unit_buttons_width();
  draw_job_name(app, right - ImGui::GetCursorPosX() - em());
  ImGui::SameLine(right);
  draw_unit_buttons(app);
}

void draw_message(App& app) {
  const Message& message = *app.message;
  ImGui::PushStyleColor(ImGuiCol_ChildBg, faded(palette().leak, 0.25f));
  const float lines = message.place.empty() ? 2.9f : 4.1f;
  begin_panel("message", {0, lines * 1.25f * em() + em()});
  if (button("Understood##message"))
    app.message.reset();
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

/// What the user is asked before it is done. Escape gives the last answer.
void draw_asked(App& app) {
  if (app.asked.empty()) return;
  if (!ImGui::IsPopupOpen("asked")) ImGui::OpenPopup("asked");
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  ImGui::SetNextWindowPos({screen.x / 2, screen.y / 2}, ImGuiCond_Always, {0.5f, 0.5f});
  ImGui::SetNextWindowSize({std::min(26 * em(), 0.9f * screen.x), 0});
  if (!ImGui::BeginPopupModal("asked", nullptr, ImGuiWindowFlags_NoDecoration)) return;
  const Asked& asked = app.asked.front();
  say(asked.words);
  std::function<void()> then;
  for (const Asked::Answer& answer : asked.answers) {
    if (&answer != &asked.answers.front()) same_row(answer.words, 0.3f * em());
    if (button(answer.words + "##asked")) then = answer.then;
  }
  if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape))) then = asked.answers.back().then;
  if (then) app.asked.pop_front(), ImGui::CloseCurrentPopup();
  ImGui::EndPopup();
  if (then) attempt(app, then);
}

/// The window was asked to close: nothing that is not saved is lost without a word.
void answer_leaving(App& app) {
  if (!std::exchange(app.leaving, false) || !app.asked.empty()) return;
  unless_unsaved(app, [&app] { app.quit = true; });
}

/// Tab goes on at once. An arrow key is ImGui's first; where that led nowhere in the next frame, the order of the
/// controls decides.
void follow_keys(App& app) {
  if (!app.going) return;
  App::Going& going = *app.going;
  const bool tab = going.where == Go::next || going.where == Go::previous;
  const bool stuck = !keys_are_taken() && keyboard_at() == going.from;
  if (!tab && stuck && going.frames++ == 0) return;
  if (tab || stuck) go(app.stage, going.where, views()[app.view].name);
  app.going.reset();
}

bool has_plot(const App& app) {
  return std::ranges::any_of(app.stage.widgets, [](const auto& widget) { return widget.first.ends_with("/area"); });
}

/// What an undo did; else what the control at hand is for; else the keys.
void draw_help(App& app) {
  const double left = app.said_until - ImGui::GetTime();
  const bool told = !app.said.empty() && left > 0 && left < 60;
  if (told)
    app.stage.wake_within(left);
  else
    app.said.clear();
  ImGui::PushStyleColor(ImGuiCol_Text, told ? palette().measured : palette().quiet);
  std::string words = told ? app.said : app.stage.help;
  std::replace(words.begin(), words.end(), '\n', ' ');
  if (words.empty()) {
    words = "Tab, arrows: go to a control    Space: press it    F1 to F" + std::to_string(views().size()) + ": pages";
    if (model_in_sight(app, ModelTool::oil))
      words += "    PgUp PgDn: places    " + std::string(plot_keys);
    else if (has_plot(app))
      words += "    " + std::string(plot_keys);
  }
  one_line(words, ImGui::GetContentRegionAvail().x);
  ImGui::PopStyleColor();
}

/// Undo may have brought back another circuit.
void follow_circuit(App& app) {
  if (app.document.job.circuit == app.circuit_file) return;
  if (!load_circuit(app, app.document.job.circuit)) app.document.job.circuit = app.circuit_file;
}

/// What was typed and could not be taken becomes the message.
void follow_typing(App& app) {
  if (const std::optional<Error> refused = std::exchange(app.stage.refused, std::nullopt))
    app.message = Message{refused->place(), refused->found(), refused->expected()};
}

/// What came in since the last frame: results, keys, files.
void take_what_came(App& app, bool at_plot) {
  for (Worker* worker : app.workers()) worker->poll();
  for (const KeyPress& key : std::exchange(app.keys, {})) answer_key(app, key, at_plot);
  take_dropped(app);
  read_logs(app.document, app.circuit, app.reading);
  answer_leaving(app);
}

void end_broken_picture() {
  ImGui::ErrorCheckEndFrameRecover(nullptr);
  while (!ImGui::GetCurrentContext()->FontStack.empty()) ImGui::PopFont();
}

void draw_window(App& app) {
  const ImVec2 size = ImGui::GetIO().DisplaySize;
  ImGui::SetNextWindowPos({0, 0});
  ImGui::SetNextWindowSize(size);
  if (app.full_screen) ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {0, 0});
  ImGui::Begin("railseep", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoBackground | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus);
  if (app.full_screen) ImGui::PopStyleVar();
  if (!app.full_screen) is_small() ? draw_small_top(app) : draw_top(app);
  if (app.message) draw_message(app);
  const float help = size.y > 24 * em() && !app.full_screen ? em() + ImGui::GetStyle().ItemSpacing.y : 0;
  begin_panel(views()[app.view].name, {0, -help}, false);
  views()[app.view].draw(app);
  ImGui::EndChild();
  if (help > 0) draw_help(app);
  draw_file_browser(app.browser);
  draw_asked(app);
  ImGui::End();
}

}  // namespace

void frame(App& app) {
  const bool at_plot = app.stage.at_plot;
  const bool told = app.message.has_value();
  app.stage.begin();
  attempt(app, [&] { take_what_came(app, at_plot); });
  // What was begun of the picture when it failed is ended; the next frame shows the message.
  if (!attempt(app, [&] { draw_window(app); })) end_broken_picture();
  attempt(app, [&] {
    follow_ear(app.air, app.sound, model_in_sight(app, ModelTool::air), app.sounding);
    follow_keys(app);
    app.stage.plot_key.reset();  // no plot was there to answer it
    if (app.after_saving && app.asked.empty() && !app.browser.wanted && !app.browser.shown)
      app.after_saving = nullptr;  // no name was given
    follow_typing(app);
    note_change(app.document, ImGui::IsAnyItemActive());
    follow_circuit(app);
    follow_evidence(app);
    follow_changes(app);
  });
  app.stage.moving |= app.message.has_value() != told;  // it is drawn in the next frame
  for (const Worker* worker : app.workers()) app.stage.moving |= worker->busy();
}

}  // namespace railseep::gui
