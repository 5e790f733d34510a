// What a check showed is told by a press on the outcome: it is evidence, the check is done, and one step of undo takes
// it back.
#include <gtest/gtest.h>

#include "decide/decide.hpp"
#include "gui_scene.hpp"
#include "made_up_match.hpp"

namespace railseep::gui {
namespace {

/// A window with a match and what to do next, as once it is computed: left rail leaks, pump worn, or nothing wrong.
/// @param hot with a hot log
void decide_by_hand(App& app, bool hot) {
  start(app, "");
  MatchResult result =
      matched({fit(suspect(*app.circuit, {"left rail front end plug"}, "hole"), 5e-4, 0.4),
               fit(suspect(*app.circuit, {"high-pressure pump"}, "wear"), 20, 0.4), nothing_wrong(0.2)},
              120);
  for (double t = 0; t <= 6; t += 0.2) result.logs[0].time.push_back(t), result.logs[0].measured.push_back(2e6);
  if (!hot) result.logs.clear();
  app.matching.result = std::make_shared<const MatchResult>(std::move(result));
  const std::string models = RAILSEEP_SOURCE_DIR "/models/";
  app.deciding.result = std::make_shared<const Decision>(decide(
      *app.circuit, *app.matching.result, read_costs(models + "costs.json"), read_checks(models + "checks.json")));
  app.deciding.of = app.matching.result;
  app.view = view_named("Bench");
}

std::string first_way(const App& app) {
  for (const auto& [id, box] : app.stage.widgets)
    if (id.starts_with("outcome/")) return id;
  return "";
}

TEST(Outcome, OfEveryKindOfCheckIsAButtonThatTellsTheJobAndUndoTakesItBack) {
  std::size_t pressed = 0;
  for (const bool hot : {true, false}) {
    App app(false);
    decide_by_hand(app, hot);
    Driver driver(app, 1280, 8000);  // all of it in sight
    for (std::size_t i = 0; i < app.deciding.result->checks.size(); ++i) {
      const std::string id = app.deciding.result->checks[i].check.id;
      if (!hot && id != "hot crank" && id != "hold") continue;
      if (driver.shows("check " + std::to_string(i))) driver.click("check " + std::to_string(i));
      driver.frames(2);
      const std::string before = job_text(app.document.job), way = first_way(app);
      ASSERT_FALSE(way.empty()) << id;
      EXPECT_EQ(std::ranges::count(checks_done(app.document.job, app.matching), id), 0) << id;
      driver.click(way);
      driver.frames(2);
      EXPECT_NE(job_text(app.document.job), before) << id;
      EXPECT_EQ(std::ranges::count(checks_done(app.document.job, app.matching), id), 1) << id;
      EXPECT_TRUE(first_way(app).empty()) << id << " is offered though it is done";
      driver.key(KeyPress::What::undo);
      EXPECT_EQ(job_text(app.document.job), before) << id;
      EXPECT_EQ(app.view, view_named("Bench")) << id;
      EXPECT_EQ(std::ranges::count(checks_done(app.document.job, app.matching), id), 0) << id;
      ++pressed;
    }
  }
  EXPECT_GE(pressed, check_ids().size() - 1);
}

// How fast the pressure falls says nothing without a hot crank to set it against.
TEST(Outcome, ThatTheMatchDoesNotUseSaysSoAndAnotherChangesTheEvidence) {
  App app(false);
  decide_by_hand(app, false);
  Driver driver(app, 1280, 8000);
  const auto choose = [&](const std::string& id) {
    const auto& checks = app.deciding.result->checks;
    const auto found = std::ranges::find_if(checks, [&](const RankedCheck& ranked) { return ranked.check.id == id; });
    ASSERT_NE(found, checks.end()) << id;
    const std::string card = "check " + std::to_string(found - checks.begin());
    if (driver.shows(card)) driver.click(card);
    driver.frames(2);
  };
  choose("hold");
  EXPECT_TRUE(driver.says("the match does not use them"));
  choose("isolation");
  EXPECT_FALSE(driver.says("the match does not use them"));
  const std::size_t before = evidence_of(app.document.job, {}).observations.readings.size();
  driver.click(first_way(app));
  driver.frames(2);
  EXPECT_EQ(evidence_of(app.document.job, {}).observations.readings.size(), before + 1);
  // The exact number can be typed where the range was pressed.
  driver.click("card/reading 0");
  driver.frames(2);
  driver.click("reading 0");
  driver.press('A', true);
  driver.type("1900 psi");
  driver.click(ImVec2(5, 7990));
  EXPECT_NEAR(app.document.job.readings.at(0).value, 1900 * 6894.757293168, 1e-3);
  EXPECT_FALSE(app.document.job.readings.at(0).tolerance);
  driver.click("Remove##reading 0");
  driver.frames(2);
  EXPECT_TRUE(app.document.job.readings.empty());
}

}  // namespace
}  // namespace railseep::gui
