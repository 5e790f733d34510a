// Numbers as they are typed: with units of their own; and readings, which count unless told otherwise.
#include <gtest/gtest.h>

#include "gui_scene.hpp"

namespace railseep::gui {
namespace {

constexpr double bar = 1e5, psi = 6894.757293168;  // [Pa]

/// A new reading, and what was typed into it.
double typed(App& app, const std::string& text) {
  app.document.job.readings.clear();
  Driver driver(app);
  driver.settle();
  driver.click("add/Reading");
  driver.click("reading 0");
  driver.type(text);
  driver.click(ImVec2(5, 715));
  return app.document.job.readings.at(0).value;
}

TEST(Typing, ANumberWithAUnitOfItsOwnIsThatQuantity) {
  App app(false);
  start(app, "");
  app.view = view_named("Bench");
  EXPECT_NEAR(typed(app, "22 bar"), 22 * bar, 1e-6);
  EXPECT_NEAR(typed(app, "22bar"), 22 * bar, 1e-6);
  EXPECT_NEAR(typed(app, "1,5 MPa"), 1.5e6, 1e-6);
  EXPECT_NEAR(typed(app, "320"), 320 * psi, 1e-6);
  EXPECT_NEAR(typed(app, "320 psi"), 320 * psi, 1e-6);
  app.settings.units.pressure = "bar";
  EXPECT_NEAR(typed(app, "22"), 22 * bar, 1e-6);
  EXPECT_FALSE(app.message);
}

TEST(Typing, WhatIsNoSuchQuantityIsToldAndLeavesTheNumber) {
  App app(false);
  start(app, "");
  app.view = view_named("Bench");
  for (const std::string wrong : {"22 barr", "22 degC", "about 300", "1e999"}) {
    JobReading reading;
    reading.value = 2e6, reading.moment = Moment::cranking;
    app.document.job.readings = {reading};
    Driver driver(app);
    show_card(app, {Card::What::reading, 0});
    driver.settle();
    driver.click("reading 0");
    driver.press('A', true);
    driver.type(wrong);
    driver.click(ImVec2(5, 715));
    EXPECT_EQ(app.document.job.readings[0].value, 2e6) << wrong;
    ASSERT_TRUE(app.message) << wrong;
    EXPECT_NE(app.message->found.find("as it was"), std::string::npos) << wrong;
    app.message.reset();
  }
}

TEST(Typing, ASlidersNumberTakesUnitsToo) {
  App app(false);
  start(app, "");
  show_model(app, ModelTool::oil);
  Driver driver(app);
  driver.settle();
  const ImVec2 at = driver.place("Oil temperature", 0.3f);
  const double before = app.what_if.question.oil_temperature;
  driver.move(at);
  ImGui::GetIO().KeyCtrl = true, ImGui::GetIO().KeyMods = ImGuiKeyModFlags_Ctrl;
  driver.hold(true), driver.hold(false);
  ImGui::GetIO().KeyCtrl = false, ImGui::GetIO().KeyMods = 0;
  driver.frames(3);
  EXPECT_EQ(app.what_if.question.oil_temperature, before);
  driver.type("140 degF");
  driver.click(ImVec2(5, 715));
  driver.frames(3);
  EXPECT_NEAR(app.what_if.question.oil_temperature, 333.15, 1e-6);  // by definition 140 degF = 60 degC
  EXPECT_FALSE(app.message);
  // It is a slider again.
  driver.drag(driver.place("Oil temperature", 0.5f), driver.place("Oil temperature", 0.9f));
  EXPECT_GT(app.what_if.question.oil_temperature, 360);
}

TEST(Readings, ATypedOneCountsUnlessToldOtherwiseAndSaysSo) {
  App app(false);
  start(app, "");
  app.view = view_named("Bench");
  Driver driver(app);
  driver.settle();
  driver.click("add/Reading");
  const auto counts = [&] { return evidence_of(app.document.job, {}).observations.readings.size() == 1; };
  EXPECT_FALSE(counts());  // no number yet: no evidence of 0 psi
  EXPECT_FALSE(driver.says("Counts: "));
  EXPECT_TRUE(driver.says("only kept"));
  driver.click("reading 0");
  driver.type("0");  // a reading of nothing is one
  driver.click(ImVec2(5, 715));
  EXPECT_TRUE(counts());
  EXPECT_TRUE(driver.says("Counts: "));
  EXPECT_FALSE(driver.says("only kept"));
  driver.click("reading 0/moment");
  driver.frames(2);
  driver.click("reading 0/moment/kept only");
  driver.frames(2);
  EXPECT_FALSE(counts());
  EXPECT_TRUE(driver.says("Kept only: "));
  driver.click("reading 0");
  driver.press('A', true);
  driver.type("320");
  driver.click(ImVec2(5, 715));
  EXPECT_FALSE(counts());  // told otherwise, it stays so
}

TEST(Readings, WhatTheModelDoesNotComputeSaysThatItDoesNotCount) {
  App app(false);
  start(app, "");
  app.view = view_named("Bench");
  JobReading reading;
  reading.kind = ChannelKind::oil_temperature, reading.value = 350, reading.moment = Moment::cranking;
  app.document.job.readings = {reading};
  Driver driver(app);
  show_card(app, {Card::What::reading, 0});
  driver.settle();
  EXPECT_FALSE(driver.says("Counts: "));
  EXPECT_TRUE(driver.says("does not compute oil temperature"));
}

TEST(Engine, CountsOnlyOnceItWasChosen) {
  App app(false);
  start(app, "");
  show_card(app, {Card::What::engine, 0});
  Driver driver(app);
  driver.settle();
  EXPECT_TRUE(driver.says("assumed"));
  EXPECT_TRUE(driver.says("is assumed"));
  driver.click(app.circuit->name + "##models/valley_v8.json");
  driver.frames(2);
  EXPECT_FALSE(driver.says("is assumed"));
  App known(false);
  start(known, boat);
  EXPECT_TRUE(known.document.circuit_chosen);
}

}  // namespace
}  // namespace railseep::gui
