// The real window under a hidden X server with software OpenGL: pictures of every view, and real mouse and keys.
#include <GLFW/glfw3.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <set>
#include <thread>

#include "gui_scene.hpp"
#include "gui_window_scene.hpp"
#include "job/job.hpp"
#include "small_png.hpp"
#include "views.hpp"
#include "window.hpp"

namespace railseep::gui {
namespace {

const std::filesystem::path pictures = RAILSEEP_PICTURE_DIR;

constexpr std::size_t largest_picture = 90000;  // [bytes] that the guide's pictures may have

/// The pictures that README.md shows: small enough in every run, and renewed by RAILSEEP_PICTURES=gui/pictures in the
/// environment.
void keep_for_readme(std::string view, const Window::Pixels& pixels) {
  if (view != "Model" && view != "Bench") return;
  view = view == "Model" ? "circuit" : "match";
  const std::string text = SmallPng(pixels).text();
  EXPECT_LE(text.size(), largest_picture) << view;
  if (const char* folder = std::getenv("RAILSEEP_PICTURES")) {
    const std::filesystem::path path = std::filesystem::path(RAILSEEP_SOURCE_DIR) / folder / (view + ".png");
    EXPECT_TRUE(std::ofstream(path, std::ios::binary) << text) << path;
  }
}

/// Colours to five bits: a picture of half the size, no different to the eye.
Window::Pixels packed(Window::Pixels pixels) {
  for (unsigned char& part : pixels.rgb) part = static_cast<unsigned char>(std::min(255, (part + 4) / 8 * 8));
  return pixels;
}

std::size_t colours_in(const Window::Pixels& pixels) {
  std::set<unsigned> seen;
  for (std::size_t i = 0; i + 2 < pixels.rgb.size(); i += 3)
    seen.insert(pixels.rgb[i] << 16 | pixels.rgb[i + 1] << 8 | pixels.rgb[i + 2]);
  return seen.size();
}

/// One picture of what is shown now, with the checks that hold for all of them.
void look_at(App& app, Window& window, const std::string& name) {
  settle(app, window);
  const Window::Pixels pixels = packed(window.pixels());
  EXPECT_GT(colours_in(pixels), 40u) << name;
  write_png(pictures / (name + ".png"), pixels);
  expect_room_for_texts(app, name);
}

std::string size_words(int width, int height) { return std::to_string(width) + "x" + std::to_string(height); }

TEST(GuiWindow, ShowsEveryViewInBothLooksWithRoomForItsTexts) {
  App app(true);
  app.settings.answers = false;
  start(app, RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/job.json");
  app.what_if.place = "injector 2 top seal";
  app.what_if.question.faults = {{"injector 2 top seal", "hole", 0.0005}};
  app.acknowledged = {"air test", "coil"};
  app.air.point = "front of cover";
  start_match(app.matching, app.document, app.circuit, app.slow);
  {
    Window window(app, 1280, 720);
    settle(app, window);
    ASSERT_TRUE(app.matching.result);
    start_deciding(app.deciding, app.matching, app.document.job, app.circuit, app.settings, app.thinking);
    settle(app, window);
    ASSERT_TRUE(app.deciding.result) << (app.deciding.trouble ? app.deciding.trouble->what() : "not ready");
  }
  for (const auto& [width, height] : {std::pair(1280, 720), std::pair(2560, 1440)}) {
    Window window(app, width, height);
    for (const bool dark : {true, false}) {
      app.settings.dark = dark;
      for (int view = 0; view < static_cast<int>(views().size()); ++view) {
        app.view = view;
        const std::string name =
            std::string(views()[view].name) + "_" + size_words(width, height) + (dark ? "_dark" : "_light");
        for (const PageState& state : states_of(app, views()[view].name))
          state.show(), look_at(app, window, name + "_" + state.name);
        if (width == 1280 && dark) keep_for_readme(views()[view].name, packed(window.pixels()));
      }
    }
  }
}

TEST(GuiWindow, ShowsWhetherARepairIsProvedAndWhatIsMissing) {
  App app(true);
  app.settings.answers = false;
  start(app, RAILSEEP_SOURCE_DIR "/scenarios/milk-tanker/job.json");
  start_proving(app.proving, app.document, app.circuit, app.comparing);
  start_match(app.matching, app.document, app.circuit, app.slow);
  {
    Window window(app, 1280, 720);
    settle(app, window);
    ASSERT_TRUE(app.proving.result && app.matching.result);
  }
  // As if the batteries had been weak too, to see how that is told.
  app.matching.missing.insert(app.matching.missing.begin(), {"before: 8.7 V while cranking, where 9.5 V are needed",
                                                             "a slow crank makes any engine look leaky",
                                                             "charge the batteries and crank again", true});
  for (const auto& [width, height] : {std::pair(1280, 720), std::pair(2560, 1440)}) {
    Window window(app, width, height);
    for (const bool dark : {true, false}) {
      app.settings.dark = dark;
      show_view(app, "Bench");
      look_at(app, window, "Proof_" + size_words(width, height) + (dark ? "_dark" : "_light"));
    }
  }
}

TEST(GuiWindow, DrawsEveryShippedCircuit) {
  App app(true);
  app.settings.answers = false;
  start(app, "");
  show_model(app, ModelTool::oil);
  for (const auto& [width, height] : {std::pair(1280, 720), std::pair(2560, 1440)}) {
    Window window(app, width, height);
    for (const std::string circuit : {"valley_v8", "head_rail_v8", "inline_six"}) {
      ASSERT_TRUE(load_circuit(app, "models/" + circuit + ".json"));
      app.document.job.circuit = app.circuit_file;
      look_at(app, window, circuit + "_" + size_words(width, height));
    }
  }
}

TEST(GuiWindow, ShowsEveryViewInATinyAndInAHugeWindow) {
  App app(true);
  app.settings.answers = false;
  start(app, RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/job.json");
  app.acknowledged = {"air test", "coil"};
  for (const auto& [width, height] : {std::pair(320, 240), std::pair(3840, 2160)}) {
    Window window(app, width, height);
    for (int view = 0; view < static_cast<int>(views().size()); ++view) {
      app.view = view;
      settle(app, window);
      const Window::Pixels pixels = packed(window.pixels());
      EXPECT_EQ(pixels.width, width);
      EXPECT_GT(colours_in(pixels), 20u) << views()[view].name;
      write_png(pictures / (std::string(views()[view].name) + "_" + size_words(width, height) + ".png"), pixels);
    }
  }
}

/// xdotool sends real events through the X server; the window lies at the top left corner, for no window manager moves
/// it.
void xdotool(Window& window, const std::string& what) {
  ASSERT_EQ(std::system(("xdotool " + what).c_str()), 0) << what;
  for (int i = 0; i < 5; ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(15)), glfwPollEvents(), window.step();
}

ImVec2 middle_of(const App& app, const std::string& widget) {
  const auto found = app.stage.widgets.find(widget);
  if (found == app.stage.widgets.end()) return {-1, -1};
  return {(found->second.x + found->second.z) / 2, (found->second.y + found->second.w) / 2};
}

void point_at(Window& window, ImVec2 to) {
  xdotool(window, "mousemove " + std::to_string(static_cast<int>(to.x)) + " " + std::to_string(static_cast<int>(to.y)));
}

void press(App& app, Window& window, const std::string& widget) {
  point_at(window, middle_of(app, widget));
  xdotool(window, "mousedown 1");
  xdotool(window, "mouseup 1");
}

TEST(GuiWindow, RealMouseAndKeysDoTheWholeWhatIf) {
  App app(true);
  app.settings.answers = false;
  start(app, "");
  Window window(app, 1280, 720);
  settle(app, window);
  ASSERT_EQ(std::system("xdotool search --sync --onlyvisible --name railseep windowfocus > /dev/null"), 0);
  xdotool(window, "key F2");
  EXPECT_TRUE(model_in_sight(app, ModelTool::oil));
  settle(app, window);
  press(app, window, "diagram/left rail front end plug");
  EXPECT_EQ(app.what_if.place, "left rail front end plug");
  press(app, window, "kind/gap");
  ASSERT_EQ(app.what_if.question.faults.size(), 1u);
  EXPECT_EQ(app.what_if.question.faults[0].kind, "gap");
  const double before = app.what_if.question.oil_temperature;
  const ImVec4 slider = app.stage.widgets.at("Oil temperature");
  point_at(window, {slider.x + 0.8f * (slider.z - slider.x), (slider.y + slider.w) / 2});
  xdotool(window, "mousedown 1");
  point_at(window, {slider.x + 0.3f * (slider.z - slider.x), (slider.y + slider.w) / 2});
  xdotool(window, "mouseup 1");
  EXPECT_LT(app.what_if.question.oil_temperature, before - 10);
  settle(app, window);
  EXPECT_DOUBLE_EQ(app.what_if.now->question.oil_temperature, app.what_if.question.oil_temperature);
  // Arrows with Shift or Ctrl move pictures, and lead to no other control.
  const auto comes = [&](const auto& reached) {
    for (int i = 0; i < 60 && !reached(); ++i) settle(app, window, 1);
    return reached();
  };
  point_at(window, {20, 700});  // away from the plots
  const unsigned at = keyboard_at();
  xdotool(window, "key shift+Right");
  EXPECT_TRUE(comes([&] { return app.diagram.shift.x > 0; }));
  xdotool(window, "key ctrl+Left");
  EXPECT_TRUE(comes([&] { return app.what_if.axis.cursor.has_value(); }));
  EXPECT_LT(app.what_if.time, 6);
  EXPECT_EQ(keyboard_at(), at);
  xdotool(window, "key ctrl+plus");
  xdotool(window, "key F1");
  EXPECT_EQ(app.view, 0);
}

TEST(GuiWindow, F11FillsTheScreenForTheClassAndEscapeGivesTheWindowBack) {
  App app(true);
  app.settings.answers = false;
  start(app, "");
  app.what_if.question.faults = {{"left rail front end plug", "hole", 0.0005}};
  Window window(app, 1280, 720);
  settle(app, window);
  ASSERT_EQ(std::system("xdotool search --sync --onlyvisible --name railseep windowfocus > /dev/null"), 0);
  const auto becomes = [&](int width, int height) {
    for (int i = 0; i < 100 && window.pixels().width != width; ++i) glfwPollEvents(), settle(app, window, 1);
    return window.pixels().width == width && window.pixels().height == height;
  };
  xdotool(window, "key F11");
  EXPECT_TRUE(becomes(2560, 1440));  // the hidden screen
  look_at(app, window, "class_2560x1440");
  EXPECT_FALSE(app.stage.widgets.contains("Save"));
  xdotool(window, "key Escape");
  EXPECT_TRUE(becomes(1280, 720));
  EXPECT_TRUE(app.stage.widgets.contains("Save"));
}

TEST(GuiWindow, KeyboardAloneReachesButtonsAndViews) {
  App app(true);
  app.settings.answers = false;
  start(app, "");
  app.view = 0;
  Window window(app, 1280, 720);
  settle(app, window);
  ASSERT_EQ(std::system("xdotool search --sync --onlyvisible --name railseep windowfocus > /dev/null"), 0);
  const auto tap = [&](const std::string& key) { xdotool(window, "keydown " + key), xdotool(window, "keyup " + key); };
  // A key may come some frames later on a busy machine.
  const auto comes = [&](const auto& reached) {
    for (int i = 0; i < 60 && !reached(); ++i) settle(app, window, 1);
    return reached();
  };
  const auto go_to = [&](const std::string& widget) {
    for (int i = 0; i < 40 && app.stage.focused != widget; ++i) {
      const std::string before = app.stage.focused;
      tap("Tab");
      comes([&] { return app.stage.focused != before; });
    }
    return app.stage.focused == widget;
  };
  ASSERT_TRUE(go_to("card/engine"));
  tap("space");
  EXPECT_TRUE(comes([&] { return app.bench.open == "engine"; }));
  ASSERT_TRUE(go_to("add/Start"));
  tap("space");
  EXPECT_TRUE(comes([&] { return app.bench.open == "start 0"; }));
  EXPECT_EQ(app.document.job.starts.size(), 1u);
  tap("Left");
  EXPECT_TRUE(comes([&] { return app.stage.focused != "add/Start"; })) << app.stage.focused;
  for (int view = 0; view < static_cast<int>(views().size()); ++view) {
    tap("F" + std::to_string(view + 1));
    EXPECT_TRUE(comes([&] { return app.view == view; })) << view;
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
