// Nothing that is not saved is lost without a word: exceptions, dialogs, other jobs, keys, sudden ends, and others who
// write the same file.
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>
#include <stdexcept>

#include "gui_scene.hpp"
#include "quantity/json_fields.hpp"
#include "rescue.hpp"

namespace railseep::gui {
namespace {

namespace fs = std::filesystem;

constexpr int enter = 13, escape = 27;

/// A job in a folder of its own, saved, and then changed.
void begin_changed(App& app, const fs::path& folder) {
  app.settings_path = folder / "settings.json";
  start(app, "");
  app.document.job.complaint = "as saved";
  save_document(app.document, (folder / "job.json").string());
  app.document.past = {app.document.job};
  app.document.job.complaint = "not saved";
}

TEST(Guard, AnExceptionOfAnyKindAnywhereInAFrameKeepsTheJobAndIsTold) {
  struct Odd {};
  for (const int kind : {0, 1, 2}) {
    const auto fail = [kind] {
      if (kind == 0) throw Error("here", "a fault", "none");
      if (kind == 1) throw std::runtime_error("a fault");
      throw Odd();
    };
    App app(false);
    start(app, "");
    app.document.job.complaint = "not saved";
    Driver driver(app);
    // In a result that comes in, deep in a dialog within a frame, and in a dialog's answer.
    app.slow.submit([&](const Worker::Cancelled&) -> Worker::Deliver { return fail; }, [](const Error&) {});
    driver.frames(3);
    ASSERT_TRUE(app.message) << kind;
    app.message.reset();
    app.browser.open("Open", {}, scratch("guard"), false, [&](const std::string&) { fail(); });
    std::ofstream(scratch("guard") / "file") << "x";
    app.browser.enter(app.browser.folder);
    driver.frames(3);
    driver.click("browser/file");
    driver.click("Open##file");
    driver.frames(3);
    ASSERT_TRUE(app.message) << kind;
    EXPECT_NE((app.message->found + app.message->expected).size(), 0u);
    driver.click("Understood##message");
    EXPECT_FALSE(app.message);
    app.asked.push_back({"?", {{"Do it", fail}}});
    driver.frames(3);
    driver.click("Do it##asked");
    driver.frames(2);
    EXPECT_TRUE(app.message) << kind;
    EXPECT_EQ(app.document.job.complaint, "not saved");
    // The window goes on as before.
    driver.click("Understood##message");
    driver.click("Shop");
    EXPECT_EQ(app.view, view_named("Shop"));
    EXPECT_TRUE(driver.shows("Larger"));
  }
}

TEST(SaveAs, AFolderOneMayNotEnterAndANameTooLongAreToldAndKeepTheJob) {
  const fs::path folder = scratch("closed");
  fs::create_directories(folder / "closed");
  App app(false);
  start(app, "");
  app.document.job.complaint = "not saved";
  app.settings.last_folder = folder.string();
  Driver driver(app);
  // Access is taken away where that binds: root may enter everything, so a name that leads through a file stands in for
  // it too.
  fs::permissions(folder / "closed", fs::perms::none);
  std::ofstream(folder / "file.json") << "x";
  ask_for_name(app);
  driver.frames(3);
  driver.click("browser/closed");
  driver.frames(3);
  for (const std::string& name : {std::string("../file.json/job.json"), std::string(300, 'n')}) {
    driver.click("##name");
    driver.press('A', true);
    driver.type(name);
    driver.press(enter);
    driver.frames(3);
    EXPECT_TRUE(app.message) << name;
    EXPECT_TRUE(app.document.unsaved()) << name;
    app.message.reset();
    EXPECT_EQ(app.document.job.complaint, "not saved");
    ask_for_name(app);
    driver.frames(3);
  }
  fs::permissions(folder / "closed", fs::perms::owner_all);
}

TEST(Gate, OpenDropNewAndLeavingAskBeforeUnsavedWorkGoes) {
  const fs::path folder = scratch("gate");
  for (const int way : {0, 1, 2, 3}) {
    for (const std::string answer : {"Stay", "Throw away", "Save"}) {
      App app(false);
      begin_changed(app, folder);
      Driver driver(app);
      driver.frames(2);
      if (way == 0) {
        ask_for_job(app);
        driver.frames(2);
        app.browser.folder = fs::path(boat).parent_path(), app.browser.name = "job.json";
        driver.frames(2);
        driver.click("Open##file");
      } else if (way == 1) {
        app.dropped = {boat};
      } else if (way == 2) {
        driver.click("New");
      } else {
        app.leaving = true;
      }
      driver.frames(3);
      const std::string here = std::to_string(way) + " " + answer;
      ASSERT_EQ(app.asked.size(), 1u) << here;
      EXPECT_EQ(app.document.job.complaint, "not saved") << here;
      driver.click(answer + "##asked");
      driver.frames(3);
      EXPECT_TRUE(app.asked.empty()) << here;
      const bool stays = answer == "Stay";
      if (way == 3) {
        EXPECT_EQ(app.quit, !stays) << here;
      } else {
        EXPECT_EQ(app.document.job.complaint == "not saved", stays) << here;
      }
      EXPECT_EQ(read_job((folder / "job.json").string()).complaint, answer == "Save" ? "not saved" : "as saved")
          << here;
    }
  }
}

TEST(Gate, SavedWorkIsReplacedWithoutAQuestionAndANewJobIsEmpty) {
  App app(false);
  start(app, boat);
  Driver driver(app);
  driver.click("New");
  driver.frames(2);
  EXPECT_TRUE(app.asked.empty());
  EXPECT_TRUE(app.document.job.logs.empty() && app.document.path.empty());
  EXPECT_FALSE(app.document.unsaved());
}

TEST(Gate, SavingAJobWithoutANameAsksForOneAndGoesOnOnlyIfItIsGiven) {
  const fs::path folder = scratch("named");
  for (const bool given : {true, false}) {
    App app(false);
    start(app, "");
    app.settings.last_folder = folder.string();
    app.document.job.name = "white van", app.document.job.complaint = "not saved";
    Driver driver(app);
    app.leaving = true;
    driver.frames(3);
    driver.click("Save##asked");
    driver.frames(3);
    EXPECT_EQ(app.browser.name, "white van.json");
    if (given)
      driver.press(enter);
    else
      driver.click("Cancel##file");
    driver.frames(3);
    EXPECT_EQ(app.quit, given);
    EXPECT_EQ(fs::exists(folder / "white van.json"), given);
    fs::remove(folder / "white van.json");
    // A later save of that job does not end the window after all.
    if (!given) save_document(app.document, (folder / "other.json").string()), driver.frames(3);
    EXPECT_EQ(app.quit, given);
  }
}

TEST(Gate, EscapeStays) {
  App app(false);
  begin_changed(app, scratch("escape"));
  Driver driver(app);
  app.leaving = true;
  driver.frames(3);
  driver.press(escape);
  EXPECT_TRUE(app.asked.empty());
  EXPECT_FALSE(app.quit);
  EXPECT_EQ(app.document.job.complaint, "not saved");
}

TEST(Keys, ThoseThatMeanSomethingInAFieldAreItsOwnWhileOneTypes) {
  App app(false);
  start(app, "");
  show_card(app, {Card::What::complaint, 0});
  Driver driver(app);
  app.document.job.readings.push_back({});
  driver.frames(3);
  driver.click("Complaint, in the driver's words");
  driver.type("abc");
  app.keys.push_back({KeyPress::What::undo, 0});
  driver.press('Z', true);
  EXPECT_EQ(app.document.job.complaint, "ab");
  EXPECT_EQ(app.document.job.readings.size(), 1u);
  app.keys.push_back({KeyPress::What::redo, 0});
  driver.frames(2);
  EXPECT_EQ(app.document.job.readings.size(), 1u);
  driver.click(ImVec2(5, 715));  // the field is left: now they are the window's
  driver.key(KeyPress::What::undo);
  EXPECT_EQ(app.document.job.complaint, "");
  driver.key(KeyPress::What::undo);
  EXPECT_TRUE(app.document.job.readings.empty());
}

TEST(Undo, SaysWhatItBroughtBackAndShowsItsPage) {
  App app(false);
  start(app, "");
  Driver driver(app);
  struct Step {
    std::function<void(Job&)> change;
    std::string words;
    Card card;
  };
  const Step steps[] = {
      {[](Job& job) { job.complaint = "hot only"; }, "complaint", {Card::What::complaint, 0}},
      {[](Job& job) { job.readings.emplace_back().when = "hot crank"; }, "hot crank", {Card::What::reading, 0}},
      {[](Job& job) {
         job.findings.push_back({"oil level", "low", true});
       },
       "oil level",
       {Card::What::finding, 0}},
      {[](Job& job) { job.circuit = "models/inline_six.json"; }, "engine", {Card::What::engine, 0}}};
  for (const Step& step : steps) {
    step.change(app.document.job);
    driver.frames(3);
    app.view = view_named("Shop");
    driver.key(KeyPress::What::undo);
    EXPECT_EQ(app.view, view_named("Bench")) << step.words;
    // What it took away has no card any more.
    const auto story = story_of(app.document.job);
    const bool there = std::ranges::find(story, step.card) != story.end();
    EXPECT_EQ(app.bench.open, there ? step.card.id() : "complaint") << step.words;
    EXPECT_TRUE(driver.says("Undone: ") && driver.says(step.words)) << step.words << ": " << app.said;
    driver.key(KeyPress::What::redo);
    EXPECT_TRUE(driver.says("Done again: ")) << step.words;
    EXPECT_EQ(app.bench.open, step.card.id()) << step.words;
  }
  driver.wait(9);
  EXPECT_FALSE(driver.says("Done again: "));
}

TEST(Rescue, ACopyIsWrittenWithinTwoSecondsOfAChangeAlsoWhileOneGoesOnChanging) {
  const fs::path folder = scratch("copy");
  App app(false);
  begin_changed(app, folder);
  Driver driver(app);
  driver.wait(1);
  EXPECT_TRUE(app.rescue.file.empty());
  for (int i = 0; i < 12; ++i) app.document.job.complaint += "x", driver.wait(0.1);
  ASSERT_FALSE(app.rescue.file.empty());
  driver.wait(2.1);
  EXPECT_EQ(read_job(app.rescue.file.string()).complaint, app.document.job.complaint);
  // Once saved it is not needed.
  const fs::path copy = app.rescue.file;
  driver.key(KeyPress::What::save);
  EXPECT_FALSE(fs::exists(copy));
  EXPECT_FALSE(app.message);
}

/// A window that ended without a word: its copy stays, and its lock goes with the process.
void end_suddenly(App& app) { close(app.rescue.lock), app.rescue = {}; }

TEST(Rescue, IsOfferedAtTheNextStartAndGoesOnWhereItWasWithItsFile) {
  const fs::path folder = scratch("offer");
  {
    App app(false);
    begin_changed(app, folder);
    app.document.job.logs.emplace_back().file = "crank.csv";
    std::ofstream(folder / "crank.csv") << "Time (s),ICP (psi)\n0,0\n1,300\n2,310\n";
    Driver driver(app);
    driver.wait(2.2);
    ASSERT_FALSE(app.rescue.file.empty());
    // While that window lives its copy is not offered to others.
    App other(false);
    other.settings_path = app.settings_path;
    offer_rescued_jobs(other);
    EXPECT_TRUE(other.asked.empty());
    end_suddenly(app);
  }
  App next(false);
  next.settings_path = folder / "settings.json";
  start(next, "");
  Driver driver(next);
  offer_rescued_jobs(next);
  driver.frames(3);
  ASSERT_EQ(next.asked.size(), 1u);
  driver.click("Go on with it##asked");
  driver.frames(3);
  EXPECT_EQ(next.document.job.complaint, "not saved");
  EXPECT_EQ(fs::path(next.document.path), folder / "job.json");
  EXPECT_TRUE(next.document.unsaved());
  ASSERT_EQ(next.document.job.logs.size(), 1u);
  EXPECT_EQ(next.document.job.logs[0].file, "crank.csv");
  const fs::path copy = next.rescue.file;
  EXPECT_TRUE(fs::exists(copy));
  driver.key(KeyPress::What::save);
  driver.frames(2);
  EXPECT_TRUE(next.asked.empty());
  EXPECT_EQ(read_job((folder / "job.json").string()).complaint, "not saved");
  EXPECT_FALSE(fs::exists(copy));
}

TEST(Rescue, CanBeThrownAwayOrPutOff) {
  const fs::path folder = scratch("put off");
  {
    App app(false);
    begin_changed(app, folder);
    EXPECT_TRUE(rescue_job(app));
    end_suddenly(app);
  }
  for (const std::string answer : {"Ask me next time", "Throw it away"}) {
    App app(false);
    app.settings_path = folder / "settings.json";
    start(app, "");
    Driver driver(app);
    offer_rescued_jobs(app);
    driver.frames(3);
    ASSERT_EQ(app.asked.size(), 1u) << answer;
    driver.click(answer + "##asked");
  }
  App last(false);
  last.settings_path = folder / "settings.json";
  offer_rescued_jobs(last);
  EXPECT_TRUE(last.asked.empty());
}

TEST(Rescue, AFolderThatCanNotBeWrittenIsToldOnce) {
  const fs::path folder = scratch("no room");
  App app(false);
  begin_changed(app, folder);
  std::ofstream(folder / "rescued") << "a file where the folder should be";
  Driver driver(app);
  driver.wait(2.2);
  ASSERT_TRUE(app.message);
  app.message.reset();
  app.document.job.complaint += "x";
  driver.wait(5);
  EXPECT_FALSE(app.message);
}

TEST(Settings, AreWrittenWhenTheyChange) {
  const fs::path folder = scratch("settings kept");
  App app(false);
  app.settings_path = folder / "settings.json";
  start(app, "");
  Driver driver(app);
  driver.wait(2);
  EXPECT_FALSE(fs::exists(app.settings_path));
  driver.click("psi##pressure unit");
  driver.wait(1.5);
  EXPECT_EQ(read_settings(app.settings_path).units.pressure, "bar");
}

TEST(OtherHands, AFileThatChangedSinceItWasReadIsNotOverwrittenUnasked) {
  const fs::path folder = scratch("two windows");
  for (const std::string answer : {"Do not save", "Replace it", "Save under another name"}) {
    App first(false);
    begin_changed(first, folder);
    {
      App second(false);
      start(second, first.document.path);
      second.document.job.complaint = "the other's";
      save_job(second);
      ASSERT_FALSE(second.document.unsaved());
    }
    Driver driver(first);
    driver.key(KeyPress::What::save);
    driver.frames(2);
    ASSERT_EQ(first.asked.size(), 1u);
    EXPECT_EQ(read_job(first.document.path).complaint, "the other's");
    driver.click(answer + "##asked");
    driver.frames(3);
    EXPECT_EQ(read_job(first.document.path).complaint, answer == "Replace it" ? "not saved" : "the other's");
    EXPECT_EQ(first.browser.shown, answer == "Save under another name");
    if (answer == "Replace it") {
      EXPECT_FALSE(first.document.unsaved());
    }
  }
}

// Between the question and the writing another may write, too.
TEST(OtherHands, ASaveThatComesTooLateIsRefusedAndKeepsBoth) {
  App app(false);
  const fs::path folder = scratch("too late");
  begin_changed(app, folder);
  Document other = open_document(app.document.path);
  other.job.complaint = "the other's";
  save_document(other, other.path);
  EXPECT_THROW(save_document(app.document, app.document.path), Error);
  EXPECT_EQ(read_job(app.document.path).complaint, "the other's");
  EXPECT_TRUE(app.document.unsaved());
  save_document(app.document, app.document.path, true);
  EXPECT_EQ(read_job(app.document.path).complaint, "not saved");
  // One that was taken away is written anew.
  fs::remove(app.document.path);
  app.document.job.complaint = "again";
  save_document(app.document, app.document.path);
  EXPECT_EQ(read_job(app.document.path).complaint, "again");
}

TEST(OtherHands, OwnSavesOneAfterTheOtherAskNothing) {
  App app(false);
  begin_changed(app, scratch("own saves"));
  Driver driver(app);
  for (int i = 0; i < 3; ++i) {
    app.document.job.complaint += "x";
    driver.key(KeyPress::What::save);
    EXPECT_TRUE(app.asked.empty());
    EXPECT_FALSE(app.document.unsaved());
  }
}

TEST(Browser, LogsInCapitalsAndAsTextShowAndRecentJobsAreOffered) {
  const fs::path folder = scratch("endings");
  for (const char* name : {"a.CSV", "b.Csv", "c.txt", "d.TXT", "e.png"})
    std::ofstream(folder / name) << "Time (s),ICP (psi)\n0,0\n1,300\n2,310\n";
  App app(false);
  start(app, boat);
  app.settings.log_folder = folder.string();
  Driver driver(app);
  ask_for_log(app);
  driver.frames(3);
  for (const char* name : {"a.CSV", "b.Csv", "c.txt", "d.TXT"})
    EXPECT_TRUE(driver.shows(std::string("browser/") + name)) << name;
  EXPECT_FALSE(driver.shows("browser/e.png"));
  driver.click("##name");
  driver.type("d.TXT");
  driver.press(enter);
  ASSERT_EQ(app.document.job.logs.size(), 3u);
  EXPECT_TRUE(app.document.job.logs.back().file.ends_with("d.TXT"));
  driver.key(KeyPress::What::undo);
  ask_for_job(app);
  driver.frames(3);
  const std::string recent = "recent/" + fs::absolute(boat).lexically_normal().string();
  EXPECT_TRUE(driver.shows(recent));
  driver.click(recent);
  driver.frames(3);
  EXPECT_FALSE(app.browser.shown);
  EXPECT_EQ(app.document.path, fs::absolute(boat).lexically_normal().string());
}

TEST(Browser, HasHomeDatesSizesAndNewFolders) {
  const fs::path folder = scratch("places");
  fs::create_directories(folder / "start");
  std::ofstream(folder / "start" / "log.csv") << std::string(12000, 'x');
  setenv("HOME", folder.c_str(), 1);
  App app(false);
  start(app, "");
  app.settings.log_folder = (folder / "start").string();
  Driver driver(app);
  ask_for_log(app);
  driver.frames(3);
  ASSERT_EQ(app.browser.entries.size(), 1u);
  EXPECT_NE(app.browser.entries[0].about.find("13 kB"), std::string::npos) << app.browser.entries[0].about;
  EXPECT_EQ(app.browser.entries[0].about.substr(0, 2), "20");  // of a year
  driver.click("New folder##file");
  driver.frames(3);
  driver.type("of today");
  driver.click("Make it##folder");
  driver.frames(3);
  EXPECT_TRUE(fs::is_directory(folder / "start" / "of today"));
  EXPECT_EQ(app.browser.folder, folder / "start" / "of today");
  driver.click("Home##" + folder.string());
  driver.frames(3);
  EXPECT_EQ(app.browser.folder, folder);
}

TEST(Browser, AJobWhoseCircuitIsBrokenStillShowsItself) {
  const fs::path folder = scratch("broken circuit");
  std::ofstream(folder / "circuit.json") << "{";
  std::ofstream(folder / "job.json")
      << R"({"railseep": "job", "name": "n", "complaint": "only hot", "circuit": "circuit.json", "logs": []})";
  App app(false);
  start(app, (folder / "job.json").string());
  ASSERT_TRUE(app.message);
  EXPECT_NE(app.message->place.find("circuit.json"), std::string::npos);
  EXPECT_EQ(app.document.job.complaint, "only hot");
  EXPECT_FALSE(app.circuit);
  Driver driver(app);
  for (int view = 0; view < static_cast<int>(views().size()); ++view)
    for (const Card& card : story_of(app.document.job)) app.bench.open = card.id(), app.view = view, driver.frames(2);
  EXPECT_EQ(app.document.job.circuit, "circuit.json");
}

}  // namespace
}  // namespace railseep::gui
