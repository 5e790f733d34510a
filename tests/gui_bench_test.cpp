// The bench: a story of cards, an answer that comes by itself, outcomes that move it, and the proof after a repair.
#include <gtest/gtest.h>

#include <fstream>

#include "full_match.hpp"
#include "gui_scene.hpp"
#include "job/kept_proof.hpp"

namespace railseep::gui {
namespace {

using What = Card::What;

std::vector<std::string> ids_of(const Job& job) {
  std::vector<std::string> ids;
  for (const Card& card : story_of(job)) ids.push_back(card.id());
  return ids;
}

TEST(Story, HasOneCardForEveryEntryOfTheJobBeforeTheRepairAndAfterIt) {
  Job job;
  EXPECT_EQ(ids_of(job), (std::vector<std::string>{"complaint", "engine"}));
  for (const What what : {What::air, What::finding, What::reading, What::start}) add_card(job, what);
  job.logs.emplace_back();
  EXPECT_FALSE(is_repaired(job));
  EXPECT_EQ(add_card(job, What::repair).id(), "repair 1");  // a finding in words, after the other one
  EXPECT_TRUE(is_repaired(job));
  add_card(job, What::reading);
  EXPECT_EQ(job.readings[0].stage, railseep::Stage::before);
  EXPECT_EQ(job.readings[1].stage, railseep::Stage::after);
  EXPECT_EQ(ids_of(job), (std::vector<std::string>{"complaint", "engine", "reading 0", "start 0", "log 0", "finding 0",
                                                   "air test 0", "repair 1", "reading 1"}));
  for (const Card& card : story_of(job))
    if (card.what == What::repair) remove_card(job, card);
  EXPECT_EQ(job.findings.size(), 1u);
  EXPECT_TRUE(is_repaired(job));  // a reading from after it is left
}

TEST(Story, ALogAddedAfterARepairIsFromAfterIt) {
  App app(false);
  start(app, boat);
  add_card(app.document.job, What::repair);
  app.dropped = {RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/hot_crank.csv"};
  Driver driver(app, 1280, 2000);
  driver.frames(3);
  EXPECT_EQ(app.document.job.logs.back().stage, railseep::Stage::after);
  EXPECT_EQ(app.bench.open, "log 2");  // what was dropped is a card, unfolded
}

TEST(Story, ACardUnfoldsAndFoldsByAPressAndSaysWhetherItCounts) {
  App app(false);
  start(app, boat);
  Driver driver(app, 1280, 2500);
  driver.settle();
  EXPECT_FALSE(driver.shows("log plot/area"));
  driver.click("card/log 1");
  driver.frames(2);
  // Pressure and duty, both.
  EXPECT_TRUE(driver.shows("log plot/area") && driver.shows("log duty plot/area"));
  driver.click("card/log 1");
  driver.frames(2);
  EXPECT_FALSE(driver.shows("log plot/area"));
  driver.click("add/Look");
  driver.frames(2);
  EXPECT_TRUE(driver.says("only words"));
  app.document.job.findings[0] = {"oil level", "", false};
  driver.frames(2);
  EXPECT_FALSE(driver.says("not told yet") && app.document.job.findings[0].in_words());
  EXPECT_TRUE(driver.says("Look: oil level"));
}

/// A job that is matched in no time: one reading.
void add_reading(App& app) {
  JobReading reading;
  reading.value = 2e6, reading.moment = Moment::cranking, reading.condition.oil_temperature = 363.15;
  app.document.job.readings.push_back(reading);
}

TEST(Answer, BeginsHalfASecondAfterTheLastChangeAndNotAgainWhenItWasStopped) {
  App app(true);
  start(app, "");
  Driver driver(app, 1280, 2000);
  app.settings.answers = true;
  driver.wait(1);
  EXPECT_FALSE(app.matching.running() || app.matching.result);  // nothing to go by
  add_reading(app);
  driver.frames(2);
  for (int i = 0; i < 4; ++i) {
    app.document.job.readings[0].value += 1e4;
    driver.wait(0.8 * answer_after);
    EXPECT_FALSE(app.matching.running());
  }
  driver.wait(0.3 * answer_after);
  EXPECT_TRUE(app.matching.running());
  for (int i = 0; i < 2000 && !driver.shows("Stop##match"); ++i) driver.frames(1);
  driver.click("Stop##match");
  driver.wait(2);
  EXPECT_FALSE(app.matching.running());
  EXPECT_TRUE(driver.shows("Compute the answer"));
  app.document.job.readings[0].value += 1e4;
  driver.wait(1.2 * answer_after);
  EXPECT_TRUE(app.matching.running() || app.matching.result);
}

TEST(Answer, IsOfTheEvidenceAsItIsAndAPressedOutcomeMovesIt) {
  FULL_MATCH;
  App app(true);
  start(app, "");
  add_reading(app);
  Driver driver(app, 1280, 6000);
  app.settings.answers = true;
  driver.wait(1.2 * answer_after), driver.settle();
  ASSERT_TRUE(app.matching.result && app.deciding.result) << (app.matching.trouble ? app.matching.trouble->what() : "");
  EXPECT_FALSE(answer_is_old(app));
  EXPECT_TRUE(driver.says("Most likely: "));
  EXPECT_TRUE(driver.says("Where it is"));
  const auto before = app.matching.result;
  std::string way;
  for (const auto& [id, box] : app.stage.widgets)
    if (id.starts_with("outcome/")) way = id;
  if (way.empty()) driver.click("check 0"), driver.frames(2);
  for (const auto& [id, box] : app.stage.widgets)
    if (id.starts_with("outcome/")) way = id;
  ASSERT_FALSE(way.empty());
  driver.click(way);
  driver.frames(2);
  EXPECT_GT(story_of(app.document.job).size(), 3u);  // it is a card
  driver.wait(1.2 * answer_after), driver.settle();
  EXPECT_FALSE(answer_is_old(app));
  EXPECT_TRUE(app.matching.result != before || evidence_text(app.document.job) == app.matching.of);
}

TEST(Answer, OfAnEngineThatNobodyChoseSaysSo) {
  App app(false);
  start(app, "");
  Driver driver(app);
  EXPECT_TRUE(driver.says("No engine was chosen yet"));
  app.document.circuit_chosen = true;
  driver.frames(2);
  EXPECT_FALSE(driver.says("No engine was chosen yet"));
}

TEST(Bench, OfANarrowWindowHasThreeTabs) {
  App app(false);
  start(app, boat);
  Driver driver(app, 640, 700);
  EXPECT_TRUE(driver.shows("card/complaint"));
  EXPECT_FALSE(driver.says("Do this now") && driver.shows("card/complaint") && driver.says("Add to the story") &&
               driver.says("What to do next follows"));
  driver.click("bench part/Do this now");
  driver.frames(2);
  EXPECT_FALSE(driver.shows("card/complaint"));
  EXPECT_TRUE(driver.says("What to do next follows"));
  driver.click("bench part/Story");
  driver.frames(2);
  EXPECT_TRUE(driver.shows("card/complaint"));
}

TEST(Bench, BeginsWithANewJobTheLastOneOrOneFromBefore) {
  const std::filesystem::path folder = scratch("greeting");
  App app(false);
  start(app, "");
  save_document(app.document, (folder / "first.json").string());
  save_document(app.document, (folder / "second.json").string());
  app.settings.recent_jobs = {(folder / "second.json").string(), (folder / "gone.json").string(),
                              (folder / "first.json").string()};
  for (const std::string press : {"new job", "last job", "recent 2", "open job"}) {
    App begun(false);
    start(begun, "");
    begun.settings.recent_jobs = app.settings.recent_jobs;
    begun.bench.greeting = true;
    Driver driver(begun);
    EXPECT_FALSE(driver.shows("recent 1"));  // it is not there any more
    ASSERT_TRUE(driver.shows(press)) << press;
    driver.click(press);
    driver.frames(3);
    EXPECT_EQ(begun.bench.greeting, press == "open job") << press;
    EXPECT_EQ(begun.browser.shown, press == "open job");
    if (press == "last job") {
      EXPECT_EQ(begun.document.path, folder / "second.json");
    }
    if (press == "recent 2") {
      EXPECT_EQ(begun.document.path, folder / "first.json");
    }
  }
}

TEST(Shop, ItsOwnRatesReachTheDecisionAndComeBackFromTheSettings) {
  Costs costs;
  costs.currency = "local money", costs.hourly_rate = 120, costs.opening_money = 45, costs.proving_time = 4500;
  Settings settings;
  settings.rates.currency = "crowns", settings.rates.hourly_rate = 900.0;
  const std::filesystem::path file = scratch("rates") / "settings.json";
  write_settings(file, settings);
  EXPECT_EQ(read_settings(file).rates, settings.rates);
  const Costs own = read_settings(file).rates.of(costs);
  EXPECT_EQ(own.currency, "crowns");
  EXPECT_EQ(own.hourly_rate, 900);
  EXPECT_EQ(own.opening_money, 45);  // as in the file
  EXPECT_EQ(own.of_time(7200), 1800);
}

}  // namespace
}  // namespace railseep::gui
