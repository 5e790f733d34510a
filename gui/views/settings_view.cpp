// Units, size of the text, colours.
#include <algorithm>

#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

void choose(const char* id, const char* words, std::string& now, const std::vector<std::string>& units) {
  say(words);
  std::vector<std::string> shown;
  for (const std::string& unit : units) shown.push_back(printed_unit(unit));
  int chosen = static_cast<int>(std::find(units.begin(), units.end(), now) - units.begin());
  if (choice(id, shown, chosen)) now = units[chosen];
}

void draw_choices(Settings& settings) {
  heading("Units");
  choose("pressure", "Pressure", settings.units.pressure, {"psi", "bar", "MPa"});
  choose("temperature", "Temperature", settings.units.temperature, {"degC", "degF"});
  choose("length", "Length", settings.units.length, {"mm", "in"});
  heading("Looks");
  say("Size of the text");
  if (button("Smaller", 0, settings.text_scale > least_text_scale))
    settings.text_scale = std::max(least_text_scale, settings.text_scale - 0.1);
  ImGui::SameLine();
  if (button("Larger", 0, settings.text_scale < most_text_scale))
    settings.text_scale = std::min(most_text_scale, settings.text_scale + 0.1);
  ImGui::SameLine();
  ImGui::AlignTextToFramePadding();
  one_line(plain_number(100 * settings.text_scale, 3) + " %", 6 * em());
  int dark = settings.dark ? 0 : 1;
  say("Colours");
  if (choice("colours", {"Dark", "Light"}, dark)) settings.dark = dark == 0;
  tick("Let the oil move in the drawing", settings.motion);
}

void draw_keys() {
  heading("Keys");
  say("F1 to F" + std::to_string(views().size()) + ": the pages at the left");
  say("Ctrl+N new, Ctrl+O open, Ctrl+S save, Ctrl+Z undo, Ctrl+Y redo");
  say("Ctrl+Plus and Ctrl+Minus: size of the text, Ctrl+0 as it was");
  say("Ctrl+Space: play the crank in the drawing");
  say("Tab and Shift+Tab: the next control and the one before; arrow keys: the nearest one");
  say("Space: press it; on a slider Space, then left and right; Ctrl and a press of the mouse: type its number, with "
      "any unit");
  say("Page Up and Page Down: the places of the drawing one by one; Plus, Minus and Home: nearer, further, the whole "
      "drawing; Shift+arrows move it");
  say("In plots: Plus, Minus and Home zoom in time, Shift+arrows move, Ctrl+arrows read values. In the circuit page go "
      "to the plot first (Tab)");
}

}  // namespace

void draw_settings_view(App& app) {
  const bool wide = ImGui::GetContentRegionAvail().x > 46 * em();
  begin_panel("settings", {wide ? 22 * em() : 0, wide ? 0 : 26 * em()});
  draw_choices(app.settings);
  if (!app.font_found) say("No font file was found (Debian: fonts-dejavu-core), so a plain one is used.");
  ImGui::EndChild();
  if (wide) ImGui::SameLine(0, 0.5f * em());
  begin_panel("keys", {0, wide ? 0 : 26 * em()});
  draw_keys();
  ImGui::EndChild();
}

}  // namespace railseep::gui
