// The proof view's logic: logs from before and after a repair.
#include <gtest/gtest.h>

#include "full_match.hpp"
#include "gui_scene.hpp"

namespace railseep::gui {
namespace {

const std::string tanker = RAILSEEP_SOURCE_DIR "/scenarios/milk-tanker/job.json";

TEST(Gui, ProofSaysOfARepairThatChangedNothingThatItIsNotProved) {
  FULL_MATCH;
  App app(true);
  start(app, tanker);
  app.view = view_named("Bench");
  Driver driver(app, 1280, 1400);
  driver.settle();
  driver.click("Compute the proof");
  EXPECT_TRUE(app.proving.running());
  driver.settle();
  ASSERT_TRUE(app.proving.result) << (app.proving.trouble ? app.proving.trouble->what() : "");
  // What is hidden in the logs stands in the scenario's README.md: the part was renewed, the fault is where it was.
  EXPECT_EQ(app.proving.result->verdict, RepairProof::Verdict::not_proved);
  EXPECT_GT(app.proving.result->unchanged, app.proving.result->gone);
  EXPECT_EQ(app.proving.result->before.logs.at(0).name, "before");
  EXPECT_EQ(app.proving.result->after.logs.at(0).name, "after");
  EXPECT_TRUE(driver.says("Repair not proved"));
  EXPECT_TRUE(driver.shows("verdict") && driver.shows("proof plot/area"));
  EXPECT_FALSE(driver.says("Of other evidence"));
  // The job keeps it, and a file that is opened again has it.
  ASSERT_TRUE(app.document.job.proof);
  const KeptProof kept = *app.document.job.proof;
  // It is computed, not told: undo takes back what somebody did.
  const std::size_t steps = app.document.past.size();
  driver.frames(3);
  EXPECT_EQ(app.document.past.size(), steps);
  const std::string file = testing::TempDir() + "railseep_kept_proof.json";
  save_document(app.document, file);
  open_job(app, file);
  driver.settle();
  EXPECT_FALSE(app.proving.result);
  EXPECT_EQ(app.document.job.proof, kept);
  EXPECT_TRUE(driver.says("Repair not proved"));
  EXPECT_FALSE(driver.says("Of other evidence"));
  app.document.job.logs[0].condition.oil_temperature = 300;
  driver.frames(2);
  EXPECT_TRUE(driver.says("Of other evidence"));
}

TEST(Gui, ProofSaysWhichLogsAreMissingAndCanBeStopped) {
  App app(true);
  start(app, boat);
  app.view = view_named("Bench");
  Driver driver(app, 1280, 2000);
  driver.settle();
  EXPECT_FALSE(driver.says("Is the repair proved?"));  // there was none
  driver.click("add/Repair");
  driver.frames(2);
  EXPECT_TRUE(driver.says("A log from after the repair is missing"));
  EXPECT_FALSE(driver.says("A log from before the repair is missing"));
  EXPECT_FALSE(driver.shows("Compute the proof"));
  show_card(app, {Card::What::log, 1});
  driver.frames(3);
  driver.click("log stage/after it");
  EXPECT_EQ(app.document.job.logs[1].stage, railseep::Stage::after);
  driver.frames(2);
  driver.click("Compute the proof");
  EXPECT_TRUE(app.proving.running());
  for (int i = 0; i < 2000 && !driver.shows("Stop##proof"); ++i) driver.frames(1);
  driver.click("Stop##proof");
  EXPECT_FALSE(app.proving.running());
  driver.settle();
  EXPECT_FALSE(app.proving.result);
  show_card(app, {Card::What::log, 0});
  driver.frames(3);
  driver.click("log stage/known good");  // shows no trouble
  EXPECT_EQ(app.document.job.logs[0].stage, railseep::Stage::good);
  EXPECT_TRUE(driver.says("A log from before the repair is missing"));
}

}  // namespace
}  // namespace railseep::gui
