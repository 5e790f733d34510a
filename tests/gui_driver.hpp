#pragma once

#include <imgui.h>

#include <chrono>
#include <string>
#include <thread>

#include "app.hpp"
#include "frame.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

/// The window's frames without a window: an ImGui context with a font and no graphics, driven by setting its input. The
/// answer, which takes seconds, is computed by itself only where a test wants it (Settings::answers).
class Driver {
 public:
  explicit Driver(App& app, float width = 1280, float height = 720) : app_(app) {
    app.settings.answers = app.settings_kept.answers = false;
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.UserData = &app.stage;
    io.DisplaySize = {width, height};
    io.ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;  // as the real window has it
    io.KeyMap[ImGuiKey_Space] = 32;
    io.KeyMap[ImGuiKey_Enter] = 13, io.KeyMap[ImGuiKey_Escape] = 27, io.KeyMap[ImGuiKey_A] = 'A',
    io.KeyMap[ImGuiKey_Z] = 'Z';
    io.DeltaTime = 1.0f / 60;
    io.BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
    io.MousePos = {-1, -1};
    const float size = font_size_for(app.settings, io.DisplaySize, 1, is_for_class(app));
    load_fonts(*io.Fonts, size);
    unsigned char* pixels;
    int w, h;
    io.Fonts->GetTexDataAsRGBA32(&pixels, &w, &h);
    io.Fonts->SetTexID(reinterpret_cast<ImTextureID>(1));
    apply_look(app.settings, size);
    frames(3);
  }
  ~Driver() { ImGui::DestroyContext(); }
  Driver(const Driver&) = delete;
  Driver& operator=(const Driver&) = delete;

  void frames(int count) {
    for (int i = 0; i < count; ++i) {
      ImGui::NewFrame();
      frame(app_);
      ImGui::Render();
    }
  }

  bool busy() {
    for (const Worker* worker : app_.workers())
      if (worker->busy()) return true;
    return false;
  }

  /// Frames until nothing is computed any more. A whole match on a busy machine takes its time.
  void settle() {
    frames(3);
    const auto limit = std::chrono::steady_clock::now() + std::chrono::minutes(3);
    while (busy() && std::chrono::steady_clock::now() < limit) {
      frames(1);
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    frames(3);
  }

  bool shows(const std::string& widget) const { return app_.stage.widgets.contains(widget); }

  /// Whether a text with these words is on the screen, or would be after scrolling.
  bool says(const std::string& words) const {
    for (const Stage::PlacedText& text : app_.stage.texts)
      if (text.text.find(words) != std::string::npos) return true;
    return false;
  }

  /// Middle of a widget, or a share of its width.
  ImVec2 place(const std::string& widget, float share = 0.5f) const {
    const auto found = app_.stage.widgets.find(widget);
    if (found == app_.stage.widgets.end()) return {-1, -1};
    const ImVec4 r = found->second;
    return {r.x + share * (r.z - r.x), (r.y + r.w) / 2};
  }

  void move(ImVec2 to) { ImGui::GetIO().MousePos = to, frames(2); }
  void hold(bool down) { ImGui::GetIO().MouseDown[0] = down, frames(2); }
  void click(ImVec2 at) { move(at), hold(true), hold(false); }
  void click(const std::string& widget) { click(place(widget)); }
  void drag(ImVec2 from, ImVec2 to) { move(from), hold(true), move(to), hold(false); }
  void wheel(ImVec2 at, float turns) {
    move(at);
    ImGui::GetIO().MouseWheel = turns;
    frames(2);
  }
  void type(const std::string& text) {
    for (const char c : text) ImGui::GetIO().AddInputCharacter(static_cast<unsigned char>(c)), frames(1);
  }
  /// A key of the keyboard itself, as fields and dialogs feel it.
  void press(int key, bool control = false) {
    ImGuiIO& io = ImGui::GetIO();
    io.KeyCtrl = control, io.KeyMods = control ? ImGuiKeyModFlags_Ctrl : 0, io.KeysDown[key] = true, frames(1);
    io.KeyCtrl = false, io.KeyMods = 0, io.KeysDown[key] = false, frames(2);
  }
  void wait(double seconds) { frames(static_cast<int>(seconds * 60) + 2); }

  void key(KeyPress::What what, int number = 0) { app_.keys.push_back({what, number}), frames(2); }

 private:
  App& app_;
};

}  // namespace railseep::gui
