#include "keyboard.hpp"

#include <imgui_internal.h>

#include <algorithm>

namespace railseep::gui {

namespace {

/// Puts the keyboard at a control, as ImGui itself would by its arrow keys: framed and scrolled into sight.
void focus(const Stage::Stop& stop) {
  ImGuiContext& g = *ImGui::GetCurrentContext();
  ImGui::ClearActiveID();
  ImGui::SetFocusID(stop.id, stop.window);
  g.NavDisableHighlight = false, g.NavDisableMouseHover = true;
  const ImRect box(stop.box.x, stop.box.y, stop.box.z, stop.box.w);
  stop.window->NavRectRel[0] = ImRect(box.Min.x - stop.window->Pos.x, box.Min.y - stop.window->Pos.y,
                                      box.Max.x - stop.window->Pos.x, box.Max.y - stop.window->Pos.y);
  ImGui::ScrollToRect(stop.window, box);
}

/// The controls that can be reached now: those of the dialog where one is open.
std::vector<Stage::Stop> reachable(const Stage& stage) {
  const ImGuiContext& g = *ImGui::GetCurrentContext();
  std::vector<Stage::Stop> stops;
  const ImGuiWindow* root = g.OpenPopupStack.empty() || !g.OpenPopupStack.back().Window
                                ? nullptr
                                : g.OpenPopupStack.back().Window->RootWindow;
  for (const Stage::Stop& stop : stage.stops)
    if (!root || stop.window->RootWindow == root) stops.push_back(stop);
  return stops;
}

}  // namespace

unsigned keyboard_at() { return ImGui::GetCurrentContext()->NavId; }

bool keys_are_taken() {
  const ImGuiContext& g = *ImGui::GetCurrentContext();
  return g.ActiveId != 0 || g.ActiveIdPreviousFrame != 0 || ImGui::GetIO().WantTextInput;
}

void go(Stage& stage, Go where, std::string_view home) {
  const std::vector<Stage::Stop> stops = reachable(stage);
  if (stops.empty()) return;
  const auto now =
      std::find_if(stops.begin(), stops.end(), [](const Stage::Stop& stop) { return stop.id == keyboard_at(); });
  if (where == Go::left) {
    const auto found =
        std::find_if(stops.begin(), stops.end(), [&](const Stage::Stop& stop) { return stop.name == home; });
    if (found != stops.end()) focus(*found);
    return;
  }
  const bool back = where == Go::previous || where == Go::up;
  const std::size_t count = stops.size(), at = static_cast<std::size_t>(now - stops.begin());
  const std::size_t next = now == stops.end() ? (back ? count - 1 : 0) : (at + (back ? count - 1 : 1)) % count;
  focus(stops[next]);
}

}  // namespace railseep::gui
