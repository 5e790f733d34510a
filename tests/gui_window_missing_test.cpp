// What the window does where something is missing or goes away: device, display, driver, font.
#include <GLFW/glfw3.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <string>

#include "gui_window_scene.hpp"
#include "job/job.hpp"
#include "rescue.hpp"

namespace railseep::gui {
namespace {

/// What the program says and how it ends when it is started with something missing.
std::pair<std::string, int> started_with(const std::string& environment) {
  FILE* pipe = popen((environment + " timeout 20 " RAILSEEP_WINDOW_PROGRAM " 2>&1").c_str(), "r");
  std::string said;
  for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) said += static_cast<char>(c);
  return {said, WEXITSTATUS(pclose(pipe))};
}

TEST(GuiWindow, SaysWhatIsMissingWhereItCanNotOpen) {
  const auto [old_driver, old_code] = started_with("env MESA_GL_VERSION_OVERRIDE=2.1");
  EXPECT_EQ(old_code, 2);
  EXPECT_NE(old_driver.find("OpenGL 3.3"), std::string::npos) << old_driver;
  EXPECT_NE(old_driver.find("libgl1-mesa-dri"), std::string::npos) << old_driver;
  const auto [no_display, no_code] = started_with("env -u DISPLAY -u WAYLAND_DISPLAY");
  EXPECT_EQ(no_code, 2);
  EXPECT_NE(no_display.find("display"), std::string::npos) << no_display;
}

TEST(GuiWindow, SaysThatNoFontWasFoundAndGoesOn) {
  setenv("RAILSEEP_FONT", "/nowhere/at/all.ttf", 1);
  App app(true);
  start(app, "");
  {
    Window window(app, 1280, 720);
    settle(app, window);
    ASSERT_TRUE(app.message);
    EXPECT_NE(app.message->expected.find("fonts-dejavu-core"), std::string::npos);
    write_png(std::filesystem::path(RAILSEEP_PICTURE_DIR) / "no_font.png", window.pixels());
  }
  unsetenv("RAILSEEP_FONT");
}

TEST(GuiWindow, KeepsTheJobWhenTheDisplayGoesAway) {
  namespace fs = std::filesystem;
  const fs::path home = fs::path(testing::TempDir()) / "railseep_gui" / "gone";
  fs::remove_all(home);
  fs::create_directories(home);
  const std::string usual = std::getenv("DISPLAY");
  pid_t child = -1;
  {
    const HiddenDisplay other;  // DISPLAY names it from now on
    ASSERT_TRUE(other.there());
    child = fork();
    if (child == 0) {
      setenv("XDG_CONFIG_HOME", home.c_str(), 1);
      execl(RAILSEEP_WINDOW_PROGRAM, "railseep-gui", nullptr);
      _exit(127);
    }
    ASSERT_EQ(std::system("timeout 30 xdotool search --sync --onlyvisible --name railseep windowfocus > /dev/null"), 0);
    // A few frames between the events, as with a hand.
    for (const char* event : {"key ctrl+n", "mousemove 200 147", "mousedown 1", "mouseup 1", "type seeping"}) {
      std::this_thread::sleep_for(std::chrono::milliseconds(400));
      ASSERT_EQ(std::system((std::string("xdotool ") + event).c_str()), 0);
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(800));
  }
  int status = 0;
  waitpid(child, &status, 0);
  setenv("DISPLAY", usual.c_str(), 1);
  ASSERT_TRUE(fs::exists(home / "railseep" / "rescued" / "job-1.json"));
  EXPECT_NE(read_job((home / "railseep" / "rescued" / "job-1.json").string()).name.find("seeping"), std::string::npos);
}

std::size_t other_pixels(const Window::Pixels& a, const Window::Pixels& b) {
  std::size_t other = a.rgb.size() == b.rgb.size() ? 0 : a.rgb.size();
  for (std::size_t i = 0; other < a.rgb.size() && i < a.rgb.size(); ++i) other += a.rgb[i] != b.rgb[i];
  return other;
}

// Source of the number: OpenGL extension registry, ARB_robustness: GUILTY_CONTEXT_RESET_ARB is 0x8253.
constexpr unsigned guilty_context_reset = 0x8253;

TEST(GuiWindow, ALostDeviceIsReplacedByItselfWithNothingLost) {
  App app(true);
  app.settings.motion = false;
  start(app, "");
  show_model(app, ModelTool::oil);
  app.what_if.question.faults = {{"left rail front end plug", "hole", 0.0005}};
  app.document.job.complaint = "typed and not saved";
  Window window(app, 1280, 720);
  settle(app, window, 12);
  const Window::Pixels before = window.pixels();
  const int frames = ImGui::GetFrameCount();
  int asked = 0;
  window.ask_instead_of_driver([&] { return ++asked == 1 ? guilty_context_reset : 0u; });
  window.step();
  EXPECT_EQ(asked, 1);
  settle(app, window);
  EXPECT_GT(asked, 1);
  EXPECT_LT(ImGui::GetFrameCount(), frames);  // a new context counts from the beginning
  EXPECT_LT(other_pixels(before, window.pixels()), before.rgb.size() / 1000);
  EXPECT_EQ(app.document.job.complaint, "typed and not saved");
  app.what_if.question.oil_temperature -= 20;
  settle(app, window);
  EXPECT_EQ(app.what_if.now->question.oil_temperature, app.what_if.question.oil_temperature);
}

TEST(GuiWindow, ALostDeviceThatDoesNotComeBackLeavesTheJobToBeRescued) {
  const std::filesystem::path folder = std::filesystem::path(testing::TempDir()) / "railseep_gui" / "lost";
  std::filesystem::remove_all(folder);
  App app(true);
  app.settings_path = folder / "settings.json";
  start(app, "");
  app.document.job.complaint = "typed and not saved";
  Window window(app, 640, 400);
  settle(app, window);
  // The device, its window and the way to the display are gone at one stroke.
  const std::string usual = std::getenv("DISPLAY");
  window.ask_instead_of_driver([] { return glfwTerminate(), unsetenv("DISPLAY"), guilty_context_reset; });
  EXPECT_THROW(window.step(), Error);
  setenv("DISPLAY", usual.c_str(), 1);
  EXPECT_TRUE(rescue_job(app));
  EXPECT_EQ(read_job(app.rescue.file.string()).complaint, "typed and not saved");
}

}  // namespace
}  // namespace railseep::gui
