// The next view's logic: a check that is done is kept in the job, and not offered again.
#include <gtest/gtest.h>

#include "full_match.hpp"
#include "gui_scene.hpp"
#include "job/kept_proof.hpp"
#include "job/noted_checks.hpp"

namespace railseep::gui {
namespace {

bool offered(const App& app, const std::string& id) {
  return std::ranges::any_of(app.deciding.result->checks,
                             [&](const RankedCheck& ranked) { return ranked.check.id == id; });
}

TEST(Gui, ACheckThatIsDoneIsKeptInTheJobAndNotOfferedAgain) {
  FULL_MATCH;
  App app(true);
  start(app, boat);
  const std::filesystem::path folder = scratch("done");
  app.document.job = moved_to(app.document.job, folder.string());
  app.document.past = {app.document.job};
  app.view = view_named("Bench");
  Driver driver(app, 1280, 4000);  // all of it in sight
  app.settings.answers = true;
  driver.wait(answer_after), driver.settle();
  ASSERT_TRUE(app.matching.result) << (app.matching.trouble ? app.matching.trouble->what() : "");
  ASSERT_TRUE(app.deciding.result) << (app.deciding.trouble ? app.deciding.trouble->what() : "");
  driver.click("check 1");
  const std::string id = app.deciding.result->checks[1].check.id;
  EXPECT_TRUE(offered(app, id));
  driver.click("Something else, or I only want to note it##check");
  ASSERT_EQ(noted_checks(app.document.job), std::vector{id});
  EXPECT_EQ(app.matching.of, evidence_text(app.document.job));  // words alone: the match still stands
  driver.frames(2);
  driver.click("Found##finding 0");
  driver.type("nothing to see");
  driver.click(ImVec2(5, 3990));
  save_document(app.document, (folder / "job.json").string());
  const Job back = read_job((folder / "job.json").string());
  EXPECT_EQ(noted_checks(back), std::vector{id});
  EXPECT_EQ(back.findings.at(0).text, "nothing to see");
  const auto match = app.matching.result;
  driver.wait(answer_after), driver.settle();
  EXPECT_FALSE(offered(app, id));
  driver.click("Remove##finding 0");
  EXPECT_TRUE(app.document.job.findings.empty());
  driver.wait(answer_after), driver.settle();
  EXPECT_TRUE(offered(app, id));
  EXPECT_EQ(app.matching.result, match);  // nothing of it was computed again
}

// What stands open costs nothing to look behind, so a repair is expected to cost less.
TEST(Gui, WhatStandsOpenInTheJobChangesTheAdviceAndNotTheMatch) {
  FULL_MATCH;
  App app(true);
  start(app, boat);
  app.view = view_named("Bench");
  Driver driver(app, 1280, 4000);
  app.settings.answers = true;
  driver.wait(answer_after);
  driver.settle();
  ASSERT_TRUE(app.deciding.result);
  const auto match = app.matching.result;
  const double closed = app.deciding.result->plan.expected.money;
  app.document.job.open = {"valve cover"};
  driver.wait(answer_after);
  driver.settle();
  EXPECT_LT(app.deciding.result->plan.expected.money, closed);
  EXPECT_EQ(app.matching.result, match);
  const auto decision = app.deciding.result;
  app.document.job.set_up = {"air adapter"};
  driver.wait(answer_after);
  driver.settle();
  EXPECT_NE(app.deciding.result, decision);
}

// The window answers what `railseep repaired` answers.
TEST(Gui, WhetherOneRepairWillDoIsAnsweredWhereItIsAsked) {
  FULL_MATCH;
  App app(true);
  start(app, boat);
  app.view = view_named("Bench");
  Driver driver(app, 1280, 4000);
  app.settings.answers = true;
  driver.wait(answer_after);
  driver.settle();
  ASSERT_TRUE(app.deciding.result);
  const std::string group = app.deciding.result->belief.groups[app.deciding.result->plan.steps.front().group].name;
  driver.click("Will it start if only this is put right?##" + group);
  driver.settle();
  ASSERT_TRUE(app.only_this.answers(app.deciding.result, group))
      << (app.only_this.trouble ? app.only_this.trouble->what() : "no answer");
  const IfRepaired& answer = *app.only_this.answer;
  EXPECT_DOUBLE_EQ(answer.starts, if_repaired(*app.circuit, *app.deciding.result, {group}).starts);
  EXPECT_GT(answer.starts, answer.starts_now);
  EXPECT_EQ(answer_words(answer).find("It then starts hot within 10 s: "), 0u);

  app.document.job.open = {"valve cover"};  // other advice: it must be asked again
  driver.wait(answer_after);
  driver.settle();
  EXPECT_FALSE(app.only_this.answers(app.deciding.result, group));
}

TEST(Gui, AStructuredFindingCountsAsDoneOnlyOnce) {
  App app(false);
  start(app, "");
  app.matching.done = {"oil level", "isolation"};  // as the evidence holds it
  app.document.job.findings = {{"oil level", "at the mark", false},
                               {.check = "one rail: left rail", .text = "", .done = "one rail: left rail"}};
  EXPECT_EQ(checks_done(app.document.job, app.matching),
            (std::vector<std::string>{"oil level", "isolation", "one rail: left rail"}));
}

}  // namespace
}  // namespace railseep::gui
