// The real program ended by force, and the real window when something throws, when keys come quickly and when nothing
// happens.
#include <GLFW/glfw3.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>

#include <atomic>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <stdexcept>
#include <thread>

#include "gui_window_scene.hpp"
#include "job/job.hpp"
#include "settings.hpp"

namespace railseep::gui {
namespace {

namespace fs = std::filesystem;

void pause(int milliseconds) { std::this_thread::sleep_for(std::chrono::milliseconds(milliseconds)); }

/// The program with settings of its own; a name is typed into its job, and the text made larger.
class Program {
 public:
  explicit Program(const fs::path& home) {
    child_ = fork();
    if (child_ != 0) return;
    setenv("XDG_CONFIG_HOME", home.c_str(), 1);
    execl(RAILSEEP_WINDOW_PROGRAM, "railseep-gui", nullptr);
    _exit(127);
  }
  ~Program() {
    if (child_ > 0) kill(child_, SIGKILL), waitpid(child_, nullptr, 0);
  }
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  bool do_all(std::initializer_list<const char*> events) {
    for (const char* event : events) {
      pause(400);  // a few frames between the events, as with a hand
      if (std::system((std::string("timeout 30 xdotool ") + event + " > /dev/null").c_str()) != 0) return false;
    }
    return true;
  }

  int end(int signal) {
    kill(child_, signal);
    int status = 0;
    waitpid(child_, &status, 0);
    child_ = -1;
    return status;
  }

 private:
  pid_t child_ = -1;
};

fs::path empty_home(const std::string& name) {
  const fs::path home = fs::path(testing::TempDir()) / "railseep_gui" / name;
  fs::remove_all(home);
  fs::create_directories(home);
  return home;
}

void expect_rescued(int signal, int patience, const std::string& name) {
  const fs::path home = empty_home(name);
  Program program(home);
  ASSERT_TRUE(program.do_all({"search --sync --onlyvisible --name railseep windowfocus", "key ctrl+n",
                              "mousemove 200 147", "click 1", "type seeping"}));
  pause(patience);
  program.end(signal);
  const fs::path copy = home / "railseep" / "rescued" / "job-1.json";
  ASSERT_TRUE(fs::exists(copy));
  EXPECT_NE(read_job(copy.string()).name.find("seeping"), std::string::npos);
  // The next start takes it over: a window that is killed while it asks leaves it where it is.
  Program next(home);
  ASSERT_TRUE(next.do_all({"search --sync --onlyvisible --name railseep windowfocus", "key Tab"}));
  next.end(SIGKILL);
  EXPECT_TRUE(fs::exists(copy));
}

TEST(GuiWindow, AKilledProgramsJobIsOnTheDiskTwoSecondsAfterTheChange) { expect_rescued(SIGKILL, 3500, "killed"); }

TEST(GuiWindow, AProgramToldToEndKeepsItsJobAtOnce) { expect_rescued(SIGTERM, 500, "ended"); }

TEST(GuiWindow, SettingsAreOnTheDiskThoughTheProgramIsKilled) {
  const fs::path home = empty_home("settings_killed");
  Program program(home);
  ASSERT_TRUE(program.do_all({"search --sync --onlyvisible --name railseep windowfocus", "key ctrl+minus"}));
  pause(3000);
  program.end(SIGKILL);
  EXPECT_NEAR(read_settings(home / "railseep" / "settings.json").text_scale, 0.9, 1e-9);
}

TEST(GuiWindow, AnExceptionInAFrameBecomesTheMessageAndTheWindowGoesOn) {
  App app(true);
  start(app, "");
  app.settings.answers = false;
  app.document.job.complaint = "not saved";
  Window window(app, 1280, 720);
  settle(app, window);
  app.slow.submit(
      [](const Worker::Cancelled&) -> Worker::Deliver {
        return [] { throw std::runtime_error("a fault in a frame"); };
      },
      [](const Error&) {});
  app.asked.push_back({"?", {{"Do it", [] { throw 42; }}}});
  EXPECT_NO_THROW(settle(app, window, 10));
  ASSERT_TRUE(app.message);
  EXPECT_EQ(app.message->found, "a fault in a frame");
  write_png(fs::path(RAILSEEP_PICTURE_DIR) / "exception.png", window.pixels());
  app.asked.clear();
  show_model(app, ModelTool::oil);
  settle(app, window);
  EXPECT_TRUE(app.stage.widgets.contains("diagram"));
  EXPECT_EQ(app.document.job.complaint, "not saved");
}

TEST(GuiWindow, KeysPressedAndReleasedBetweenTwoFramesAreAllFelt) {
  App app(true);
  start(app, "");
  Window window(app, 1280, 720);
  ask_for_name(app);
  settle(app, window, 12);
  ASSERT_EQ(std::system("xdotool search --sync --onlyvisible --name railseep windowfocus > /dev/null"), 0);
  settle(app, window, 6);
  app.browser.name = "old name.json";
  const ImVec4 field = app.stage.widgets.at("##name");
  ASSERT_EQ(std::system(("xdotool mousemove " + std::to_string(static_cast<int>(field.x + 40)) + " " +
                         std::to_string(static_cast<int>((field.y + field.w) / 2)) + " click 1")
                            .c_str()),
            0);
  for (int i = 0; i < 12; ++i) pause(15), glfwPollEvents(), window.step();
  // No frame is drawn while these come.
  ASSERT_EQ(std::system("xdotool key --delay 2 ctrl+a type --delay 2 'white van'"), 0);
  pause(300);
  for (int i = 0; i < 80; ++i) glfwPollEvents(), window.step();
  EXPECT_EQ(app.browser.name, "white van");
}

TEST(GuiWindow, NothingIsDrawnAndHardlyAnythingSpentWhileNothingHappens) {
  App app(true);
  start(app, RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/job.json");
  app.acknowledged = {"air test", "coil"};
  app.air.point = "front of cover";
  app.what_if.question.faults = {{"injector 2 top seal", "hole", 0.0005}};
  Window window(app, 1280, 720);
  app.settings.answers = false;
  for (int view = 0; view < static_cast<int>(views().size()); ++view) {
    app.view = view;
    settle(app, window, 20);
    constexpr double seconds = 3;
    std::atomic<bool> over = false;
    std::atomic<int> drawn = 0;
    double share = 0;
    int frames = 0;
    std::thread clock([&] {
      pause(2000);  // widgets settle
      const std::clock_t spent = std::clock();
      const int before = drawn;
      pause(static_cast<int>(1000 * seconds));
      share = static_cast<double>(std::clock() - spent) / CLOCKS_PER_SEC / seconds, frames = drawn - before;
      over = true, glfwPostEmptyEvent();
    });
    while (!over) window.wait(), window.step(), ++drawn;
    clock.join();
    std::printf("%s: %d frames, %.2f %% of a core\n", views()[view].name, frames, 100 * share);
    EXPECT_LT(share, 0.01) << views()[view].name;
    EXPECT_LE(frames, 4) << views()[view].name;
  }
}

}  // namespace
}  // namespace railseep::gui
