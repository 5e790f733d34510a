// The job view's logic: what is typed or dropped is kept, undone, saved, rescued, and reaches the match.
#include <gtest/gtest.h>

#include <fstream>

#include "gui_scene.hpp"
#include "wrapped_text.hpp"

namespace railseep::gui {
namespace {

TEST(Gui, TypedComplaintIsUnsavedUntilSavedAndComesBackByUndo) {
  App app(false);
  start(app, boat);
  const std::filesystem::path folder = scratch("save");
  app.document.job = moved_to(app.document.job, folder.string());
  app.document.past = {app.document.job};
  app.document.path = (folder / "job.json").string();
  app.document.saved = app.document.text();
  show_card(app, {Card::What::complaint, 0});
  Driver driver(app);
  driver.settle();
  const std::string old = app.document.job.complaint;
  driver.click("Complaint, in the driver's words");
  driver.type("Hot only. ");
  driver.click(ImVec2(5, 715));
  EXPECT_NE(app.document.job.complaint, old);
  EXPECT_TRUE(app.document.unsaved());
  driver.key(KeyPress::What::save);
  EXPECT_FALSE(app.message.has_value());
  EXPECT_FALSE(app.document.unsaved());
  EXPECT_EQ(job_text(read_job(app.document.path)), app.document.text());
  driver.key(KeyPress::What::undo);
  EXPECT_EQ(app.document.job.complaint, old);
  EXPECT_TRUE(app.document.unsaved());
  driver.key(KeyPress::What::redo);
  EXPECT_NE(app.document.job.complaint, old);
}

TEST(Gui, AChangeAfterAnUndoForgetsWhatWasUndone) {
  Document document = new_document("models/valley_v8.json");
  const auto write = [&](const char* words) { document.job.complaint = words, note_change(document, false); };
  write("one"), write("two");
  undo(document);
  EXPECT_EQ(document.job.complaint, "one");
  write("three");
  redo(document);
  EXPECT_EQ(document.job.complaint, "three");
  undo(document), undo(document), undo(document);
  EXPECT_EQ(document.job.complaint, "");
}

TEST(Gui, FailedSaveKeepsTheJobAndTheOldFile) {
  App app(false);
  start(app, "");
  app.document.job.complaint = "new";
  app.document.path = "/nowhere/at/all/job.json";
  Driver driver(app);
  driver.key(KeyPress::What::save);
  ASSERT_TRUE(app.message.has_value());
  EXPECT_TRUE(app.document.unsaved());
  EXPECT_EQ(app.document.job.complaint, "new");
}

TEST(Gui, BadFileKeepsTheLastGoodStateAndTellsPlaceFoundExpected) {
  App app(false);
  start(app, boat);
  const std::string before = app.document.text();
  const std::filesystem::path bad = scratch("bad") / "job.json";
  std::ofstream(bad)
      << R"({"railseep": "job", "name": "x", "complaint": "y", "circuit": "models/valley_v8.json", "logs": [{"name": "a", "fiel": "b"}]})";
  Driver driver(app);
  app.dropped = {bad.string()};
  driver.frames(2);
  ASSERT_TRUE(app.message.has_value());
  EXPECT_NE(app.message->place.find("/logs/0"), std::string::npos);
  EXPECT_NE(app.message->expected.find("file"), std::string::npos);
  EXPECT_EQ(app.document.text(), before);
  EXPECT_TRUE(app.circuit);
  driver.click("Understood##message");
  EXPECT_FALSE(app.message.has_value());
}

TEST(Gui, DroppedLogShowsItsGuessedColumnsAndACorrectionIsKept) {
  App app(false);
  start(app, "");
  const std::filesystem::path file = scratch("drop") / "hot_crank.csv";
  std::ofstream(file) << "Time (s),A,RPM\n0,10,0\n1,120,170\n2,260,170\n3,300,171\n4,310,171\n";
  Driver driver(app);
  app.dropped = {file.string()};
  driver.settle();
  ASSERT_EQ(app.document.job.logs.size(), 1u);
  EXPECT_EQ(app.document.job.logs[0].condition.name, "hot crank");
  ASSERT_EQ(app.document.logs.size(), 1u);
  ASSERT_EQ(app.document.logs[0].layout.columns.size(), 3u);
  EXPECT_EQ(app.document.logs[0].layout.columns[2].kind, ChannelKind::engine_speed);
  ColumnOptions& told = told_column(app.document.job.logs[0], app.document.logs[0].layout.columns[1]);
  told.kind = ChannelKind::rail_pressure, told.unit = "psi";
  driver.settle();
  ASSERT_TRUE(app.document.logs[0].readable);
  const PreviewChannel* pressure = app.document.logs[0].find(ChannelKind::rail_pressure);
  ASSERT_TRUE(pressure);
  EXPECT_NEAR(pressure->value.back(), 310 * 6894.757293168, 1);
  driver.key(KeyPress::What::undo), driver.key(KeyPress::What::undo);
  EXPECT_TRUE(app.document.job.logs.empty());
}

TEST(Gui, EvidenceTypedInTheJobIsReadBackFromItsFileAndReachesTheMatch) {
  App app(false);
  start(app, "");
  app.view = view_named("Bench");
  Driver driver(app, 1280, 1600);
  driver.settle();
  driver.click("add/Reading");
  ASSERT_EQ(app.document.job.readings.size(), 1u);
  app.document.job.readings[0].value = 2e6, app.document.job.readings[0].moment = Moment::cranking;
  driver.frames(2);
  driver.click("##told Oil temperature##reading 0");
  driver.click("About: it was not steady");
  driver.click("add/Start");
  EXPECT_TRUE(app.document.job.readings[0].tolerance && app.document.job.readings[0].condition.oil_temperature);
  driver.click("start/It did not start");
  driver.settle();
  driver.click("add/Look");
  app.document.job.findings[0].check = "oil level";
  driver.frames(2);
  driver.click("outcome/good");
  EXPECT_EQ(app.document.job.findings[0].bad, std::optional(false));
  const std::filesystem::path file = scratch("evidence") / "job.json";
  save_document(app.document, file.string());
  const Job back = read_job(file.string());
  EXPECT_EQ(job_text(back), app.document.text());
  const Evidence evidence = evidence_of(back, [&](const std::string& name) { return found_file(back, name); });
  EXPECT_EQ(evidence.observations.readings.size(), 1u);
  EXPECT_EQ(evidence.observations.starts.size(), 1u);
  EXPECT_EQ(evidence.observations.checks.size(), 1u);
}

TEST(WrappedText, ComesBackLetterByLetterAndFitsItsRoom) {
  const auto width = [](std::string_view text) { return static_cast<float>(text.size()); };
  for (const std::string text :
       {"", "one", "one two three four five six", "a\n\nb c  d", "averyverylongwordthatfitsnowhere and on",
        "ends with a blank ", "two\nlines of some length here"})
    for (const float room : {3.0f, 8.0f, 13.0f, 200.0f}) {
      const std::string broken = wrapped(text, room, width);
      EXPECT_EQ(unwrapped(broken), text);
      for (std::size_t i = 0; i <= text.size(); ++i)
        EXPECT_EQ(unwrapped_place(broken, wrapped_place(broken, i)), i) << text << " " << room;
      for (std::size_t from = 0; from < broken.size();) {
        const std::size_t end = std::min(broken.find('\n', from), broken.size());
        std::string line = broken.substr(from, end - from);
        while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.pop_back();
        if (line.find(' ') != std::string::npos) {
          EXPECT_LE(width(line), room) << text << " " << room;
        }
        from = end + 1;
      }
    }
  EXPECT_EQ(unwrapped("one \rtwo"), "onetwo");  // the writer deleted our break
}

TEST(Gui, WhatAJobFileTellsOfAConditionIsShownAndCanBeChanged) {
  App app(false);
  start(app, boat);
  Job& job = app.document.job;
  JobReading reading;
  reading.moment = Moment::cranking, reading.condition.block = "rails", reading.condition.oil = "10W-30",
  reading.condition.rest_time = 3600;
  reading.tolerance = 1e5;
  job.readings = {reading};
  job.starts = {{false, std::nullopt, {}}};
  app.view = view_named("Bench");
  Driver driver(app, 1280, 1600);
  show_card(app, {Card::What::reading, 0});
  driver.settle();
  // Told already, so it stands open; of the try nothing is told, so it is folded.
  for (const char* control :
       {"reading 0/oil", "reading 0/block", "##told Stood before##reading 0", "reading 0/tolerance"})
    EXPECT_TRUE(driver.shows(control)) << control;
  driver.click("##told Stood before##reading 0");
  EXPECT_EQ(job.readings[0].condition.rest_time, 0);
  driver.click("card/start 0");
  driver.frames(2);
  EXPECT_FALSE(driver.shows("start 0/oil"));
  driver.click("More: speed, battery, grade, rest, plugs##start 0");
  EXPECT_TRUE(driver.shows("start 0/oil"));
  driver.click("##told Battery, cranking##start 0");
  EXPECT_TRUE(job.starts[0].condition.battery.has_value());
  job.findings = {{"coil resistance", ""}};
  show_card(app, {Card::What::finding, 0});
  driver.frames(2);
  driver.click("Measured");
  EXPECT_TRUE(job.findings[0].resistance.has_value());
  EXPECT_TRUE(driver.shows("resistance"));
  show_card(app, {Card::What::log, 0});
  driver.settle();
  driver.click("##told Between samples");
  EXPECT_TRUE(job.logs[0].options.interval.has_value());
}

TEST(Gui, AColumnsTimeShiftIsToldAndTakenBack) {
  App app(false);
  start(app, boat);
  show_card(app, {Card::What::log, 0});
  Driver driver(app, 1280, 1000);
  driver.settle();
  ASSERT_TRUE(app.document.job.logs[0].options.columns.empty());
  driver.click("...##column 2");
  driver.drag(driver.place("Its times are late by##column 2", 0.5f),
              driver.place("Its times are late by##column 2", 0.75f));
  ASSERT_EQ(app.document.job.logs[0].options.columns.size(), 1u);
  EXPECT_NEAR(app.document.job.logs[0].options.columns[0].time_shift, 1, 0.1);
  EXPECT_EQ(app.document.job.logs[0].options.columns[0].column, "2");
  driver.click("All as guessed##column 2");
  EXPECT_TRUE(app.document.job.logs[0].options.columns.empty());
}

}  // namespace
}  // namespace railseep::gui
