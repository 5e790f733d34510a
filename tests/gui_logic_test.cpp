// The window's logic without a window: events go into ImGui's input, assertions look at the app's state.
#include <gtest/gtest.h>

#include <atomic>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "gui_driver.hpp"
#include "quantity/json_fields.hpp"
#include "views.hpp"

namespace railseep::gui {
namespace {

const std::string boat = RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/job.json";

std::filesystem::path scratch(const std::string& name) {
  const std::filesystem::path folder = std::filesystem::path(testing::TempDir()) / "railseep_gui" / name;
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  return folder;
}

int view_named(const std::string& name) {
  for (int i = 0; i < static_cast<int>(views().size()); ++i)
    if (name == views()[i].name) return i;
  return -1;
}

TEST(Gui, PressingASiteAndAKindOpensALeakAndANewCurveFollows) {
  App app(true);
  start(app, "");
  app.view = view_named("Circuit");
  Driver driver(app);
  driver.settle();
  ASSERT_TRUE(app.what_if.now);
  const double healthy = app.what_if.now->summary.duty;
  driver.click("diagram/left rail rear end plug");
  EXPECT_EQ(app.what_if.place, "left rail rear end plug");
  driver.click("kind/hole");
  ASSERT_EQ(app.what_if.question.faults.size(), 1u);
  EXPECT_EQ(app.what_if.question.faults[0].kind, "hole");
  driver.settle();
  EXPECT_EQ(app.what_if.now->question.faults.size(), 1u);
  EXPECT_GT(app.what_if.now->summary.duty, healthy);  // a leak costs duty
  EXPECT_TRUE(app.what_if.before && app.what_if.before->question.faults.empty());
}

TEST(Gui, DraggingALeakUpMakesItLarger) {
  App app(false);
  start(app, "");
  app.view = view_named("Circuit");
  app.what_if.question.faults = {{"outlet fitting", "hole", 0.0008}};
  Driver driver(app);
  const ImVec2 at = driver.place("diagram/outlet fitting");
  driver.drag(at, {at.x, at.y - 40});
  EXPECT_GT(app.what_if.question.faults[0].severity, 0.0008);
  EXPECT_LE(app.what_if.question.faults[0].severity, 0.004);
}

TEST(Gui, SliderMovesWhatItSaysAndTheGhostIsTheCurveFromBeforeTheDrag) {
  App app(false);  // without threads the worker runs inside the frame
  start(app, "");
  app.view = view_named("Circuit");
  Driver driver(app);
  driver.settle();
  const auto before = app.what_if.now;
  ASSERT_TRUE(before);
  driver.drag(driver.place("Oil temperature", 0.8f), driver.place("Oil temperature", 0.2f));
  driver.settle();
  EXPECT_NEAR(app.what_if.question.oil_temperature, 263.15 + 0.2 * 130, 4);
  EXPECT_DOUBLE_EQ(app.what_if.now->question.oil_temperature, app.what_if.question.oil_temperature);
  EXPECT_EQ(app.what_if.before, before);
}

TEST(Gui, CurvesOnScreenAreTheFineOnesWithinOnePercentOfThePeak) {
  App app(false);
  start(app, "");
  for (const double temperature : {283.15, 363.15})
    for (const double hole : {0.0002, 0.0006}) {
      Question question = app.what_if.question;
      question.oil_temperature = temperature;
      question.faults = {{"left rail front end plug", "hole", hole}};
      const Curve curve = answer(*app.circuit, question);
      Condition condition;
      condition.oil = question.oil, condition.oil_temperature = temperature, condition.speed = Profile(question.speed), condition.battery = Profile(question.battery);
      condition.rest_air = question.rest_air;
      CrankOptions fine;
      fine.duration = question.duration, fine.output_times = curve.trace.time, fine.tolerance = 1e-8;
      const Trace exact = crank(with_faults(*app.circuit, question.faults), condition, fine).trace;
      for (const std::string_view channel : {shown_pressure, regulator_duty}) {
        const std::vector<double>&a = curve.trace.find(channel).value, &b = exact.find(channel).value;
        const double peak = *std::max_element(b.begin(), b.end());
        for (std::size_t i = 0; i < a.size(); ++i) ASSERT_NEAR(a[i], b[i], 0.01 * peak) << channel << " at " << curve.trace.time[i] << " s";
      }
    }
}

TEST(Gui, UnitsSwitchEverywhereAtOnce) {
  App app(false);
  start(app, boat);
  Driver driver(app);
  const auto text_with = [&](const std::string& unit) {
    for (const Stage::PlacedText& text : app.stage.texts)
      if (text.text.find(unit) != std::string::npos) return true;
    return false;
  };
  app.view = view_named("Circuit");
  driver.settle();
  EXPECT_TRUE(text_with("psi"));
  driver.click("psi##pressure unit");
  driver.settle();
  EXPECT_EQ(app.settings.units.pressure, "bar");
  EXPECT_FALSE(text_with("psi"));
  EXPECT_TRUE(text_with("[bar]"));
}

TEST(Gui, ShownUnitsAreExactAtDefiningPoints) {
  // Source: international pound and inch (1959), degree Fahrenheit by definition: 1 in = 25.4 mm, 32 degF = 273.15 K, 1 psi = 6894.757293168 Pa.
  ShownUnits units{"psi", "degF", "in"};
  EXPECT_NEAR(units.number(6894.757293168, Quantity::pressure), 1, 1e-12);
  EXPECT_NEAR(units.number(273.15, Quantity::temperature), 32, 1e-9);
  EXPECT_NEAR(units.number(0.0254, Quantity::length, "um"), 1, 1e-12);
  EXPECT_EQ(ShownUnits{}.text(0.0005, Quantity::length, "mm"), "0.500 mm");
  EXPECT_EQ(ShownUnits{}.text(5e-5, Quantity::length, "um"), "50.0 µm");
}

TEST(Gui, TypedComplaintIsUnsavedUntilSavedAndComesBackByUndo) {
  App app(false);
  start(app, boat);
  const std::filesystem::path folder = scratch("save");
  app.document.job = moved_to(app.document.job, folder.string());
  app.document.past = {app.document.job};
  app.document.path = (folder / "job.json").string();
  app.document.saved = app.document.text();
  app.view = 0, app.step = 0;
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
  std::ofstream(bad) << R"({"railseep": "job", "name": "x", "complaint": "y", "circuit": "models/valley_v8.json", "logs": [{"name": "a", "fiel": "b"}]})";
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
  ASSERT_TRUE(app.document.logs[0].log);
  const Channel* pressure = app.document.logs[0].log->find(ChannelKind::rail_pressure);
  ASSERT_TRUE(pressure);
  EXPECT_NEAR(pressure->value.back(), 310 * 6894.757293168, 1);
  driver.key(KeyPress::What::undo), driver.key(KeyPress::What::undo);
  EXPECT_TRUE(app.document.job.logs.empty());
}

TEST(Gui, MatchRunsBesideTheFrameAndCanBeStopped) {
  App app(true);
  start(app, boat);
  app.view = view_named("Match");
  Driver driver(app);
  driver.settle();
  driver.click("Compare with the logs");
  EXPECT_TRUE(app.matching.running());
  for (int i = 0; i < 2000 && !driver.shows("Stop##match"); ++i) driver.frames(1);
  driver.click("Stop##match");
  EXPECT_FALSE(app.matching.running());
  driver.settle();
  EXPECT_FALSE(app.matching.result);
}

TEST(Gui, CautionsComeOnceAndBeforeTheStep) {
  App app(false);
  start(app, "");
  app.view = view_named("Air");
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
  ASSERT_EQ(app.document.job.findings.size(), 1u);
  EXPECT_EQ(app.document.job.findings[0].text, "left cover: clear");
}

TEST(Gui, EveryViewDrawsFiniteVerticesInAnySize) {
  App app(true);
  start(app, boat);
  app.acknowledged = {"air test", "coil"};
  for (const ImVec2 size : {ImVec2(320, 240), ImVec2(640, 400), ImVec2(1280, 720), ImVec2(3840, 2160)}) {
    Driver driver(app, size.x, size.y);
    for (int view = 0; view < static_cast<int>(views().size()); ++view) {
      app.view = view;
      driver.frames(4);
      const ImDrawData* data = ImGui::GetDrawData();
      EXPECT_GT(data->TotalVtxCount, 100);
      for (int i = 0; i < data->CmdListsCount; ++i)
        for (const ImDrawVert& vertex : data->CmdLists[i]->VtxBuffer) ASSERT_TRUE(std::isfinite(vertex.pos.x) && std::isfinite(vertex.pos.y)) << views()[view].name;
    }
  }
}

TEST(Gui, SettingsComeBackAndABadFileIsToldWithItsPlace) {
  const std::filesystem::path file = scratch("settings") / "railseep" / "settings.json";
  EXPECT_EQ(read_settings(file), Settings{});
  Settings settings;
  settings.units = {"MPa", "degF", "in"};
  settings.dark = false, settings.text_scale = 1.3, settings.last_folder = "/some/where";
  write_settings(file, settings);
  EXPECT_EQ(read_settings(file), settings);
  std::ofstream(file) << R"({"pressure": "furlong"})";
  EXPECT_THROW(read_settings(file), Error);
}

TEST(Worker, LatestWinsAndCancelledResultsAreDropped) {
  Worker worker(false);
  int delivered = 0;
  const auto task = [&](int number) { return [&delivered, number](const Worker::Cancelled&) -> Worker::Deliver { return [&delivered, number] { delivered = number; }; }; };
  worker.submit(task(1), {}), worker.submit(task(2), {});
  EXPECT_TRUE(worker.poll());
  EXPECT_EQ(delivered, 2);
  EXPECT_FALSE(worker.poll());
  worker.submit(task(3), {});
  worker.cancel();
  EXPECT_FALSE(worker.poll());
  EXPECT_EQ(delivered, 2);
}

TEST(Worker, ARunningTaskHearsOfItsCancelling) {
  Worker worker(true);
  std::atomic<bool> started = false, heard = false;
  worker.submit(
      [&](const Worker::Cancelled& cancelled) -> Worker::Deliver {
        started = true;
        while (!cancelled()) std::this_thread::yield();
        heard = true;
        return [] { FAIL() << "a cancelled task delivered"; };
      },
      {});
  while (!started) std::this_thread::yield();
  worker.cancel();
  while (worker.busy()) std::this_thread::yield();
  EXPECT_TRUE(heard);
  EXPECT_FALSE(worker.poll());
}

TEST(Plot, ThinningKeepsEverySpikeInAMillionSamples) {
  std::vector<double> time(1000000), value(time.size(), 1.0);
  for (std::size_t i = 0; i < time.size(); ++i) time[i] = 1e-5 * static_cast<double>(i);
  value[333333] = 9, value[777777] = -9;
  const std::vector<Sample> kept = thinned(time, value, 0, 10, 800);
  EXPECT_LE(kept.size(), 4u * 802);
  const auto has = [&](double wanted) { return std::any_of(kept.begin(), kept.end(), [&](const Sample& sample) { return sample.value == wanted; }); };
  EXPECT_TRUE(has(9) && has(-9));
  for (std::size_t i = 1; i < kept.size(); ++i) ASSERT_LE(kept[i - 1].time, kept[i].time);
}

TEST(Plot, ZoomStaysWithinTheDataAndKeepsThePointUnderThePointer) {
  TimeAxis axis;
  axis.cover(0, 10);
  axis.zoom(0.5, 4);
  EXPECT_DOUBLE_EQ(axis.from, 2);
  EXPECT_DOUBLE_EQ(axis.to, 7);
  axis.pan(100);
  EXPECT_DOUBLE_EQ(axis.to, 10);
  axis.zoom(100, 5);
  EXPECT_DOUBLE_EQ(axis.from, 0);
  EXPECT_DOUBLE_EQ(axis.to, 10);
}

TEST(Diagram, NoTwoPlacesOfAShippedCircuitLieOnEachOther) {
  for (const char* file : {"models/valley_v8.json", "models/inline_six.json"}) {
    App app(false);
    start(app, "");
    ASSERT_TRUE(load_circuit(app, file));
    const DiagramLayout layout = lay_out(*app.circuit);
    EXPECT_EQ(layout.marks.size(), app.circuit->sites.size());
    EXPECT_EQ(layout.pipes.size(), app.circuit->links.size());
    std::vector<ImVec2> all;
    for (const auto& mark : layout.marks) all.push_back(mark.at);
    for (const auto& pipe : layout.pipes) all.push_back(pipe.symbol);
    for (std::size_t i = 0; i < all.size(); ++i)
      for (std::size_t k = 0; k < i; ++k) EXPECT_GT(std::hypot(all[i].x - all[k].x, all[i].y - all[k].y), 0.8f) << file << " " << i << " " << k;
  }
}

}  // namespace
}  // namespace railseep::gui
