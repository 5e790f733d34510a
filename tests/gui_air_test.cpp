// The air view's logic: cautions, stopwatch, notes, and the hiss as it is played.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>

#include "gui_scene.hpp"

namespace railseep::gui {
namespace {

TEST(Gui, CautionsComeOnceAndBeforeTheStep) {
  App app(false);
  start(app, "");
  show_model(app, ModelTool::air);
  Driver driver(app);
  driver.settle();
  EXPECT_FALSE(app.air.result);
  EXPECT_FALSE(driver.shows("energised/Energised"));
  driver.click("I have read this##caution");
  driver.settle();
  ASSERT_TRUE(app.air.result);
  driver.click("energised/Energised");
  EXPECT_FALSE(app.air.energised);
  driver.click("I have read this##caution");
  EXPECT_TRUE(app.air.energised);
  driver.settle();
  driver.click("energised/Not energised"), driver.click("energised/Energised");
  EXPECT_TRUE(app.air.energised);  // not asked again
  driver.click("point/left cover");
  EXPECT_EQ(app.air.point, "left cover");
  driver.frames(2);
  driver.click("clear##heard");
  ASSERT_EQ(app.document.job.air_tests.size(), 1u);
  ASSERT_EQ(app.document.job.air_tests[0].heard.size(), 1u);
  EXPECT_EQ(app.document.job.air_tests[0].heard[0].place, "left cover");
  EXPECT_EQ(app.document.job.air_tests[0].heard[0].word, HeardWord::clear);
  EXPECT_TRUE(app.document.job.air_tests[0].heard[0].energised);
  driver.click("loud##heard");  // on second thoughts
  ASSERT_EQ(app.document.job.air_tests[0].heard.size(), 1u);
  EXPECT_EQ(app.document.job.air_tests[0].heard[0].word, HeardWord::loud);
}

TEST(Gui, StopwatchNotesTheFallOfTheGauge) {
  App app(false);
  start(app, "");
  app.acknowledged = {"air test"};
  show_model(app, ModelTool::air);
  Driver driver(app);
  driver.settle();
  driver.click("Start##watch");
  driver.frames(60);
  driver.click("Stop##watch");
  EXPECT_NEAR(app.air.watch, 1.1, 0.2);  // frames of a sixtieth of a second
  driver.click("Note it##watch");
  ASSERT_EQ(app.document.job.air_tests.size(), 1u);
  ASSERT_EQ(app.document.job.air_tests[0].decays.size(), 1u);
  EXPECT_DOUBLE_EQ(app.document.job.air_tests[0].decays[0].time, app.air.watch);
  EXPECT_TRUE(app.document.job.air_tests[0].decays[0].fell);
}

TEST(Sound, WithoutADeviceTheBarsMustDo) {
  setenv("ALSOFT_DRIVERS", "none", 1), setenv("ALSOFT_LOGLEVEL", "0", 1);
  App app(true);
  start(app, "");
  app.acknowledged = {"air test"};
  show_model(app, ModelTool::air);
  app.air.point = "left cover";
  Driver driver(app);
  driver.settle();
  driver.click("Play the hiss##listen");
  driver.settle();
  EXPECT_TRUE(app.sound.opened());
  EXPECT_FALSE(app.sound.there() || app.sound.playing() || app.air.listening);
  app.sound.play({0, 0.5f, 0}, 44100), app.sound.set_volume(1), app.sound.stop();
  EXPECT_FALSE(driver.shows("Play the hiss##listen"));
  EXPECT_TRUE(driver.shows("Save the hiss (WAV)"));
  EXPECT_TRUE(driver.shows("point/left cover"));
}

/// What OpenAL's driver that writes a file recorded, as numbers from -1 to 1.
std::vector<double> recorded(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  const std::string all((std::istreambuf_iterator<char>(in)), {});
  const std::size_t data = all.find("data");
  std::vector<double> samples;
  for (std::size_t i = data + 8; data != std::string::npos && i + 1 < all.size(); i += 2)
    samples.push_back(
        static_cast<std::int16_t>(static_cast<unsigned char>(all[i]) | static_cast<unsigned char>(all[i + 1]) << 8) /
        32768.0);
  return samples;
}

double loudness(const std::vector<double>& samples) {
  double sum = 0;
  for (const double s : samples) sum += s * s;
  return samples.empty() ? 0 : std::sqrt(sum / static_cast<double>(samples.size()));
}

/// Plays through the driver that writes a file, in a process of its own, for the library chooses its driver once.
/// @return whether all went well
bool play_into(const std::filesystem::path& folder, double volume) {
  std::ofstream(folder / "alsoft.conf")
      << "[general]\ndrivers=wave\nsample-type=int16\nfrequency=44100\nchannels=mono\n[wave]\nfile="
      << (folder / "heard.wav").string() << "\n";
  setenv("ALSOFT_CONF", (folder / "alsoft.conf").c_str(), 1), setenv("ALSOFT_DRIVERS", "wave", 1);
  Sound sound;
  sound.open();
  if (!sound.there()) return false;
  std::vector<float> tone(4410);
  for (std::size_t i = 0; i < tone.size(); ++i)
    tone[i] = 0.5f * std::sin(2 * 3.14159265f * 1000 * static_cast<float>(i) / 44100);
  sound.set_volume(volume);
  sound.play(tone, 44100);
  const bool played = sound.playing();
  std::this_thread::sleep_for(std::chrono::milliseconds(700));  // seven times round
  sound.stop();
  return played && !sound.playing();
}

TEST(SoundDeathTest, PlaysRoundAndRoundAsLoudAsItIsTold) {
  testing::FLAGS_gtest_death_test_style = "threadsafe";
  const std::filesystem::path folder = std::filesystem::path(testing::TempDir()) / "railseep_gui" / "sound";
  std::filesystem::create_directories(folder);
  EXPECT_EXIT(std::_Exit(play_into(folder, 0.5) ? 0 : 1), testing::ExitedWithCode(0), "");
  const std::vector<double> heard = recorded(folder / "heard.wav");
  ASSERT_GT(heard.size(), 20000u);
  // A sine of 0.5 at half volume: 0.5*0.5/sqrt(2), in the middle of what was recorded, and it turns 2000 times a
  // second.
  const std::vector<double> middle(heard.begin() + 6000, heard.begin() + 6000 + 8820);
  EXPECT_NEAR(loudness(middle), 0.25 / std::sqrt(2.0), 0.02);
  int turns = 0;
  for (std::size_t i = 1; i < middle.size(); ++i) turns += (middle[i] > 0) != (middle[i - 1] > 0);
  EXPECT_NEAR(turns, 400, 8);
}

TEST(Gui, EverythingThatAnAirTestInAJobFileHoldsCanBeChangedAndIsKept) {
  App app(false);
  start(app, "");
  app.view = view_named("Bench");
  Driver driver(app, 1280, 1400);
  driver.settle();
  driver.click("add/Air test");
  ASSERT_EQ(app.document.job.air_tests.size(), 1u);
  driver.frames(2);
  driver.click("How it was done##how"), driver.click("Add what was heard"), driver.click("Add a fall"),
      driver.click("Add a flow");
  AirFindings& test = app.document.job.air_tests[0];
  ASSERT_TRUE(test.heard.size() == 1 && test.decays.size() == 1 && test.flows.size() == 1);
  test.heard[0].place = "left cover";
  driver.frames(2);
  for (const char* control :
       {"air test 0/feed", "air test 0/energise", "air test 0 heard 0/at", "air test 0 heard 0/word",
        "air test 0 flow 0", "air test 0 fall 0", "air test 0/ear/tube", "Air and metal##air test 0"})
    EXPECT_TRUE(driver.shows(control)) << control;
  driver.click("air test 0/feed"), driver.click("air test 0/feed/Fed at pump outlet");
  EXPECT_EQ(test.done.feed, "pump outlet");
  driver.drag(driver.place("to##air test 0", 0.9f), driver.place("to##air test 0", 0.1f));
  EXPECT_DOUBLE_EQ(test.decays[0].to, test.done.hold_to);
  EXPECT_LT(test.done.hold_to, 3e5);
  driver.click("air test 0/ear/stethoscope"), driver.click("air test 0 fall 0/fell/did not within");
  EXPECT_EQ(test.done.ear, "stethoscope");
  EXPECT_FALSE(test.decays[0].fell);
  const std::filesystem::path file = scratch("air") / "job.json";
  save_document(app.document, file.string());
  const Job back = read_job(file.string());
  EXPECT_EQ(job_text(back), app.document.text());
  const AirFindings& kept = back.air_tests.at(0);
  EXPECT_EQ(kept.done.feed, test.done.feed);
  EXPECT_NEAR(kept.done.hold_to, test.done.hold_to, 1);
  EXPECT_NEAR(kept.flows.at(0).flow, 1e-3, 1e-9);
  driver.click("x##air test 0 flow 0");
  EXPECT_TRUE(test.flows.empty());
  driver.click("Remove##air test 0");
  EXPECT_TRUE(app.document.job.air_tests.empty());
}

TEST(Gui, FeedPointAndFlowOfTheBenchAreNotedInTheJob) {
  App app(false);
  start(app, "");
  app.acknowledged = {"air test"};
  show_model(app, ModelTool::air);
  Driver driver(app, 1280, 1400);
  driver.settle();
  ASSERT_TRUE(app.air.result);
  const std::string usual = app.air.result->feed;
  app.air.flow = 2e-3;
  driver.frames(2);
  driver.click("Note it##flow");
  app.air.question.feed = "pump outlet";
  driver.settle();
  EXPECT_NE(app.air.result->feed, usual);
  EXPECT_EQ(app.air.result->feed, "pump outlet");
  driver.click("Note it##flow");
  ASSERT_EQ(app.document.job.air_tests.size(), 2u);  // done in another way: another test
  EXPECT_TRUE(app.document.job.air_tests[0].done.feed.empty());
  EXPECT_EQ(app.document.job.air_tests[1].done.feed, "pump outlet");
  EXPECT_DOUBLE_EQ(app.document.job.air_tests[1].flows.at(0).flow, 2e-3);
}

}  // namespace
}  // namespace railseep::gui
