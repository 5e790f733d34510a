// The real window under a hidden X server with software OpenGL: pictures of every view, and real mouse and keys.
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <set>
#include <thread>

#include "gui_display.hpp"
#include "views.hpp"
#include "window.hpp"

namespace railseep::gui {
namespace {

const std::filesystem::path pictures = RAILSEEP_PICTURE_DIR;

/// Frames until the workers are done and widgets have settled.
void settle(App& app, Window& window, int least = 6) {
  const auto limit = std::chrono::steady_clock::now() + std::chrono::seconds(60);
  const auto busy = [&] {
    for (const Worker* worker : app.workers())
      if (worker->busy()) return true;
    return false;
  };
  for (int i = 0; (i < least || busy()) && std::chrono::steady_clock::now() < limit; ++i) {
    window.step();
    if (i >= least) std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
}

std::size_t colours_in(const Window::Pixels& pixels) {
  std::set<unsigned> seen;
  for (std::size_t i = 0; i + 2 < pixels.rgb.size(); i += 3) seen.insert(pixels.rgb[i] << 16 | pixels.rgb[i + 1] << 8 | pixels.rgb[i + 2]);
  return seen.size();
}

void expect_room_for_texts(const App& app, const std::string& where) {
  for (const Stage::PlacedText& text : app.stage.texts)
    EXPECT_LE(text.needed, text.room + 1) << where << ": \"" << text.text << "\" has no room";
}

TEST(GuiWindow, ShowsEveryViewWithRoomForItsTexts) {
  App app(true);
  start(app, RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/job.json");
  for (const auto& [width, height] : {std::pair(1280, 720), std::pair(2560, 1440)}) {
    Window window(app, width, height);
    app.what_if.place = "injector 2 top seal";
    app.what_if.question.faults = {{"injector 2 top seal", "hole", 0.0005}};
    app.step = 3;
    app.acknowledged = {"air test", "coil"};
    if (!app.matching.result) start_match(app.matching, app.document, app.circuit, app.slow);
    for (int view = 0; view < static_cast<int>(views().size()); ++view) {
      app.view = view;
      settle(app, window);
      const std::string name = std::string(views()[view].name) + "_" + std::to_string(width) + "x" + std::to_string(height);
      const Window::Pixels pixels = window.pixels();
      EXPECT_EQ(pixels.width, width);
      EXPECT_GT(colours_in(pixels), 40u) << name;
      write_png(pictures / (name + ".png"), pixels);
      expect_room_for_texts(app, name);
    }
  }
}

}  // namespace
}  // namespace railseep::gui

int main(int argc, char** argv) {
  const HiddenDisplay display;
  testing::InitGoogleTest(&argc, argv);
  if (!display.there()) {
    std::puts("Xvfb could not be started (Debian: xvfb).");
    return 1;
  }
  return RUN_ALL_TESTS();
}
