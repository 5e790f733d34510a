#include "frame.hpp"

#include <algorithm>

#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

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
    case What::play: app.what_if.playing = !app.what_if.playing; break;
    case What::help: app.help = !app.help; break;
    default: break;
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

void draw_top(App& app, float width) {
  const float buttons = 3.2f * em() + 2.6f * em() + 3 * em() + 0.4f * em();
  ImGui::AlignTextToFramePadding();
  one_line(app.circuit ? app.circuit->name : "no circuit", std::max(em(), width - buttons - 2 * em()));
  ImGui::SameLine(0, 0);
  ImGui::SetCursorPosX(std::max(ImGui::GetCursorPosX(), ImGui::GetWindowContentRegionMax().x - buttons));
  draw_unit_buttons(app);
}

void draw_message(App& app) {
  const Message& message = *app.message;
  ImGui::PushStyleColor(ImGuiCol_ChildBg, faded(palette().leak, 0.25f));
  const float lines = message.place.empty() ? 2.9f : 4.1f;
  ImGui::BeginChild("message", {0, lines * 1.25f * em() + em()}, false, ImGuiWindowFlags_AlwaysUseWindowPadding);
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

void draw_navigation(App& app, float width) {
  ImGui::BeginChild("navigation", {width, 0}, false, ImGuiWindowFlags_AlwaysUseWindowPadding);
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

}  // namespace

void frame(App& app) {
  app.stage.begin();
  app.live.poll(), app.slow.poll();
  for (const KeyPress& key : app.keys) answer_key(app, key);
  app.keys.clear();

  const ImVec2 size = ImGui::GetIO().DisplaySize;
  ImGui::SetNextWindowPos({0, 0});
  ImGui::SetNextWindowSize(size);
  ImGui::Begin("railseep", nullptr, ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus);
  draw_top(app, ImGui::GetContentRegionAvail().x);
  if (app.message) draw_message(app);
  draw_navigation(app, 7.2f * em());
  ImGui::SameLine(0, 0.5f * em());
  ImGui::BeginChild("view", {0, 0});
  views()[app.view].draw(app);
  ImGui::EndChild();
  ImGui::End();
  if (app.live.busy() || app.slow.busy()) app.stage.moving = true;
}

}  // namespace railseep::gui
