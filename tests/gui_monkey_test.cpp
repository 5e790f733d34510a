// Random input at random places, on a job with everything in it: nothing ends the window, and nothing is lost.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <deque>
#include <random>

#include "gui_scene.hpp"
#include "quantity/whole_file.hpp"
#include "rescue.hpp"

namespace railseep::gui {
namespace {

namespace fs = std::filesystem;

/// How often, unless the environment asks for another number.
int count_of(const char* name, int usual) {
  const char* told = std::getenv(name);
  return told ? std::atoi(told) : usual;
}

/// A job with evidence of every kind, in a folder of its own, so that what is saved harms nothing.
void begin_full(App& app, const fs::path& folder) {
  fs::copy(fs::path(boat).parent_path(), folder, fs::copy_options::recursive);
  app.settings_path = folder / "settings.json";
  start(app, (folder / "job.json").string());
  Job& job = app.document.job;
  JobReading reading;
  reading.value = 2e6, reading.moment = Moment::cranking;
  job.readings = {reading, {}};
  job.starts = {{false, 8.0, {}}};
  job.findings = {{"oil level", "", false}, {"looked at it", "as it was"}};
  AirFindings air;
  air.heard = {{app.circuit->listening.points.front().name, HeardWord::clear, false}};
  job.air_tests = {air};
  save_document(app.document, app.document.path);
  app.document.past = {app.document.job};
}

/// Somebody without a plan: moves, presses, drags, turns the wheel, types, and uses every key.
class Monkey {
 public:
  Monkey(App& app, Driver& driver, unsigned seed, fs::path folder)
      : app_(app), driver_(driver), random_(seed), folder_(std::move(folder)) {}

  void act() {
    ImGuiIO& io = ImGui::GetIO();
    stay_at_home();
    switch (below(16)) {
      case 0:
      case 1:
      case 2:
      case 3:
        return driver_.click(some_widget());
      case 4:
        return driver_.click(somewhere());
      case 5:
        return driver_.drag(some_widget(), somewhere());
      case 6:
        return driver_.wheel(somewhere(), below(2) == 0 ? 1.0f : -1.0f);
      case 7:
        return type();
      case 8:
        return driver_.press(std::array<int, 5>{13, 27, 32, 'A', 'Z'}[static_cast<std::size_t>(below(5))],
                             below(4) == 0);
      case 9:
      case 10:
        return driver_.key(static_cast<KeyPress::What>(below(static_cast<int>(KeyPress::What::go) + 1)), below(7) - 1);
      case 11:
        io.DisplaySize = {static_cast<float>(320 + below(2200)), static_cast<float>(240 + below(1200))};
        return driver_.frames(2);
      case 12:
        return drop();
      case 13:
        io.KeyCtrl = true, io.KeyMods = ImGuiKeyModFlags_Ctrl;
        driver_.click(some_widget());
        io.KeyCtrl = false, io.KeyMods = 0;
        return driver_.frames(1);
      default:
        return driver_.frames(1 + below(4));
    }
  }

 private:
  int below(int end) { return std::uniform_int_distribution<int>(0, end - 1)(random_); }

  ImVec2 somewhere() {
    const ImVec2 size = ImGui::GetIO().DisplaySize;
    return {static_cast<float>(below(static_cast<int>(size.x))), static_cast<float>(below(static_cast<int>(size.y)))};
  }

  ImVec2 some_widget() {
    if (app_.stage.widgets.empty()) return somewhere();
    auto one = app_.stage.widgets.begin();
    std::advance(one, below(static_cast<int>(app_.stage.widgets.size())));
    const ImVec4 box = one->second;
    return {(box.x + box.z) / 2, (box.y + box.w) / 2};
  }

  /// The dialog for files lists those of the monkey's own folder: what lies elsewhere is not to be written over.
  void stay_at_home() {
    if (app_.browser.shown && app_.browser.folder != folder_) app_.browser.enter(folder_);
    if (app_.browser.name.find('/') != std::string::npos) app_.browser.name.clear();
  }

  void type() {
    static constexpr const char* texts[] = {"22 bar",           "-1e999",  "nan",        "x\n\n",
                                            "\xC3\xA9\xC3\xA8", "1/0 psi", "a \"b\" \\", "."};
    driver_.type(texts[below(static_cast<int>(std::size(texts)))]);
  }

  void drop() {
    const std::vector<std::string> files{folder_ / "job.json",  folder_ / "hot_crank.csv", folder_ / "README.md",
                                         "/nowhere/at/all.csv", "/nowhere/at/all.json",    "/"};
    if (app_.document.job.logs.size() < 6)
      app_.dropped = {files[static_cast<std::size_t>(below(static_cast<int>(files.size())))]};
    driver_.frames(2);
  }

  App& app_;
  Driver& driver_;
  std::mt19937 random_;
  fs::path folder_;
};

/// What the job was lately: a copy on the disk must be one of these.
class Lately {
 public:
  void see(double now, const std::string& text) {
    if (seen_.empty() || seen_.back().second != text) seen_.emplace_back(now, text);
    while (seen_.size() > 1 && seen_[1].first < now - most) seen_.pop_front();
  }
  bool was(const std::string& text) const {
    return std::ranges::any_of(seen_, [&](const auto& one) { return one.second == text; });
  }

 private:
  static constexpr double most = rescue_after + 0.2;  // [s]
  std::deque<std::pair<double, std::string>> seen_;
};

TEST(Monkey, EndsNoWindowAndTheCopyOnTheDiskIsNeverOlderThanTwoSeconds) {
  const int events = count_of("RAILSEEP_MONKEY_EVENTS", 1500), windows = 5;
  int messages = 0;
  for (int window = 0; window < windows; ++window) {
    const fs::path folder = scratch("monkey") / "job";
    App app(true);
    begin_full(app, folder);
    Driver driver(app);
    Monkey monkey(app, driver, static_cast<unsigned>(window + 1), folder);
    Lately lately;
    for (int i = 0; i < events / windows; ++i) {
      monkey.act();
      messages += app.message.has_value();
      lately.see(ImGui::GetTime(), app.document.text());
      ASSERT_TRUE(app.circuit) << "window " << window << ", event " << i;
      if (app.document.unsaved() && !app.rescue.copied.empty() && !app.rescue.refused) {
        ASSERT_TRUE(lately.was(app.rescue.copied)) << "window " << window << ", event " << i;
      }
    }
    driver.wait(rescue_after + 0.5);
    if (app.document.unsaved()) {
      EXPECT_EQ(app.rescue.copied, app.document.text());
      EXPECT_EQ(read_job(app.rescue.file.string()).complaint, app.document.job.complaint);
    }
  }
  EXPECT_GT(messages, 0);  // it did come to where things fail
}

/// Changes the job again and again in a window of its own, saves now and then, and tells each change once it is made:
/// two numbers, of the change and of the time [ms].
[[noreturn]] void change_for_ever(const fs::path& folder, unsigned seed, int tell_to) {
  std::mt19937 random(seed);
  App app(false);
  app.settings_path = folder / "settings.json";
  start(app, "");
  save_document(app.document, (folder / "job.json").string());
  Driver driver(app);
  for (int change = 1;; ++change) {
    app.document.job.complaint = std::to_string(change);
    driver.frames(1);
    const int told[] = {change, static_cast<int>(1000 * ImGui::GetTime())};
    if (write(tell_to, told, sizeof told) != sizeof told) _exit(1);
    driver.frames(static_cast<int>(random() % 40));
    if (random() % 50 == 0) driver.key(KeyPress::What::save);
  }
}

/// The number of the last change that a start after the end finds, in the copy or else in the job's file.
int found_after_the_end(const fs::path& folder) {
  const fs::path copy = folder / "rescued" / "job-1.json";
  const std::string words = read_job((fs::exists(copy) ? copy : folder / "job.json").string()).complaint;
  return words.empty() ? 0 : std::stoi(words);
}

TEST(Kill, AtAnyMomentLosesNothingOlderThanTwoSeconds) {
  const int kills = count_of("RAILSEEP_MONKEY_KILLS", 20);
  std::mt19937 random(1);
  int copies = 0;
  for (int i = 0; i < kills; ++i) {
    const fs::path folder = scratch("kill");
    int ends[2];
    ASSERT_EQ(pipe(ends), 0);
    const pid_t child = fork();
    if (child == 0) change_for_ever(folder, static_cast<unsigned>(i), ends[1]);
    close(ends[1]);
    std::vector<std::array<int, 2>> changes;
    std::array<int, 2> told;
    const std::size_t until = 1 + random() % 40;
    while (changes.size() < until && read(ends[0], told.data(), sizeof told) == sizeof told) changes.push_back(told);
    usleep(static_cast<useconds_t>(random() % 20000));
    kill(child, SIGKILL);
    while (read(ends[0], told.data(), sizeof told) == sizeof told) changes.push_back(told);
    close(ends[0]);
    int status = 0;
    waitpid(child, &status, 0);
    ASSERT_TRUE(WIFSIGNALED(status)) << "kill " << i;
    ASSERT_FALSE(changes.empty()) << "kill " << i;
    int must = 0;  // the last change that is old enough
    for (const auto& [change, time] : changes)
      if (time < changes.back()[1] - 1000 * (rescue_after + 0.2)) must = change;
    copies += must > 0;
    EXPECT_GE(found_after_the_end(folder), must) << "kill " << i;
    EXPECT_LE(found_after_the_end(folder), changes.back()[0] + 1) << "kill " << i;
  }
  EXPECT_GT(copies, kills / 5);
}

}  // namespace
}  // namespace railseep::gui
