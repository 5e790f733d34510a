// The window's logic without a window: events go into ImGui's input, assertions look at the app's state.
#include <gtest/gtest.h>

#include <atomic>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <set>

#include "gui_driver.hpp"
#include "hearing/hiss.hpp"
#include "quantity/json_fields.hpp"
#include "rescue.hpp"
#include "views.hpp"
#include "wrapped_text.hpp"

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
  driver.move({2, 2});  // the help line tells what the button under the pointer offers
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
  app.view = view_named("Air");
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

TEST(Gui, EvidenceTypedInTheJobIsReadBackFromItsFileAndReachesTheMatch) {
  App app(false);
  start(app, "");
  app.view = view_named("Job"), app.step = 1;
  Driver driver(app);
  driver.settle();
  driver.click("Add a reading"), driver.click("Add a try");
  ASSERT_EQ(app.document.job.readings.size(), 1u);
  app.document.job.readings[0].value = 2e6, app.document.job.readings[0].moment = Moment::cranking;
  driver.frames(2);
  driver.click("##told Oil temperature##reading 0");
  driver.click("About: it was not steady, or read off in passing");
  EXPECT_TRUE(app.document.job.readings[0].tolerance && app.document.job.readings[0].condition.oil_temperature);
  driver.click("start/It did not start");
  app.step = 5;
  driver.settle();
  driver.click("Add a finding");
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

/// Every text of drawings and plots lies within its room and on no other of the same picture.
void expect_labels_apart(const App& app, const std::string& where) {
  const std::vector<Stage::Label>& labels = app.stage.labels;
  EXPECT_GT(labels.size(), 10u) << where;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const Stage::Label& a = labels[i];
    EXPECT_TRUE(a.box.x >= a.room.x - 1 && a.box.y >= a.room.y - 1 && a.box.z <= a.room.z + 1 && a.box.w <= a.room.w + 1) << where << ": \"" << a.text << "\" of " << a.picture << " leaves its room";
    for (std::size_t k = 0; k < i; ++k) {
      const Stage::Label& b = labels[k];
      const bool apart = a.picture != b.picture || a.box.x >= b.box.z || b.box.x >= a.box.z || a.box.y + 1 >= b.box.w || b.box.y + 1 >= a.box.w;
      EXPECT_TRUE(apart) << where << ": \"" << a.text << "\" lies on \"" << b.text << "\" in " << a.picture;
    }
  }
}

TEST(Diagram, EveryNameOfEveryShippedCircuitIsWrittenApartFromAllOthers) {
  for (const char* file : {"models/valley_v8.json", "models/head_rail_v8.json", "models/inline_six.json"})
    for (const ImVec2 size : {ImVec2(1280, 720), ImVec2(2560, 1440)}) {
      App app(false);
      start(app, "");
      app.view = view_named("Circuit");
      ASSERT_TRUE(load_circuit(app, file));
      app.document.job.circuit = file;
      // Two leaks side by side: their sizes are in each other's way.
      for (const int site : {1, 2}) app.what_if.question.faults.push_back({app.circuit->sites[site].name, "hole", 0.0005});
      Driver driver(app, size.x, size.y);
      driver.settle();
      const std::string where = std::string(file) + " at " + std::to_string(static_cast<int>(size.x));
      expect_labels_apart(app, where);
      std::string written;
      for (const Stage::Label& label : app.stage.labels)
        if (label.picture == "diagram") written += "|" + label.text + "|";
      for (std::size_t i = 0; i < app.circuit->sites.size(); ++i) EXPECT_NE(written.find("|" + std::to_string(i + 1) + "|"), std::string::npos) << where << ": number " << i + 1;
      for (const DiagramLayout::Label& name : app.diagram.layout.labels)
        for (const std::string& line : name.lines) EXPECT_NE(written.find("|" + line + "|"), std::string::npos) << where << ": " << line;
      for (std::size_t i = 0; i < app.circuit->nodes.size(); ++i)
        if (app.diagram.layout.bars[i].drawn) { EXPECT_NE(written.find("|" + app.circuit->nodes[i].name), std::string::npos) << where << ": " << app.circuit->nodes[i].name; }
    }
}

TEST(Plot, NumbersOfTheAxesStayApartInEveryViewAndSize) {
  App app(true);
  start(app, boat);
  app.step = 3;
  app.acknowledged = {"air test", "coil"};
  for (const ImVec2 size : {ImVec2(1280, 720), ImVec2(2560, 1440)}) {
    Driver driver(app, size.x, size.y);
    for (const char* view : {"Job", "Circuit"}) {
      app.view = view_named(view);
      driver.settle();
      expect_labels_apart(app, view);
    }
  }
}

/// Source: W3C, Web Content Accessibility Guidelines 2.1, relative luminance and contrast ratio; success criterion 1.4.3 asks for 4.5 : 1.
double contrast(ImU32 a, ImU32 b) {
  const auto luminance = [](ImU32 colour) {
    const auto part = [&](int shift) {
      const double c = ((colour >> shift) & 255) / 255.0;
      return c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * part(0) + 0.7152 * part(8) + 0.0722 * part(16);
  };
  const double x = luminance(a), y = luminance(b);
  return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

TEST(Look, TextReadsOnEverythingThatLiesUnderItInBothLooks) {
  // The guideline's own example: black on white is 21 : 1.
  ASSERT_NEAR(contrast(IM_COL32_WHITE, IM_COL32_BLACK), 21, 1e-9);
  for (const bool dark : {true, false}) {
    const Palette& p = palette_of(dark);
    const std::string look = dark ? "dark " : "light ";
    for (const ImU32 under : {p.ground, p.panel, p.raised, p.fill})
      for (const ImU32 ink : {p.text, p.quiet}) EXPECT_GE(contrast(ink, under), 4.5) << look << std::hex << ink << " on " << under;
    for (const ImU32 under : {p.ground, p.panel, p.raised})
      for (const ImU32 ink : {p.computed, p.measured, p.leak, p.good}) EXPECT_GE(contrast(ink, under), 4.5) << look << std::hex << ink << " on " << under;
    for (const ImU32 ink : {p.enable, p.ceiling}) EXPECT_GE(contrast(ink, p.ground), 4.5) << look << std::hex << ink;
    EXPECT_GE(contrast(p.on_accent, p.accent), 4.5) << look;
    EXPECT_GE(contrast(ink_on(p.leak), p.leak), 4.5) << look;
    App app(false);
    app.settings.dark = dark;
    start(app, "");
    Driver driver(app);
    for (const ImGuiCol part : {ImGuiCol_Button, ImGuiCol_ButtonHovered, ImGuiCol_ButtonActive, ImGuiCol_FrameBg, ImGuiCol_FrameBgHovered, ImGuiCol_FrameBgActive, ImGuiCol_Header, ImGuiCol_HeaderHovered,
                                ImGuiCol_HeaderActive, ImGuiCol_TableHeaderBg, ImGuiCol_PopupBg})
      EXPECT_GE(contrast(p.text, ImGui::GetColorU32(part)), 4.5) << look << ImGui::GetStyleColorName(part);
  }
  for (double share = 0; share <= 6; share += 0.05) EXPECT_GE(contrast(ink_on(pressure_colour(share, 1)), pressure_colour(share, 1)), 4.5) << share;
}

TEST(Keyboard, TabReachesEveryControlOfEveryViewAndBack) {
  App app(true);
  start(app, boat);
  app.acknowledged = {"air test", "coil"};
  app.air.point = "front of cover";
  app.what_if.place = "injector 2 top seal";
  app.what_if.question.faults = {{"injector 2 top seal", "hole", 0.0005}};
  Driver driver(app);
  for (int view = 0; view < static_cast<int>(views().size()); ++view) {
    app.view = view;
    driver.settle();
    std::set<unsigned> wanted, reached;
    for (const Stage::Stop& stop : app.stage.stops) wanted.insert(stop.id);
    EXPECT_GT(wanted.size(), 10u) << views()[view].name;
    for (std::size_t i = 0; i < wanted.size() + 2; ++i) driver.key(KeyPress::What::go, static_cast<int>(Go::next)), reached.insert(keyboard_at());
    EXPECT_EQ(reached, wanted) << views()[view].name;
    const unsigned here = keyboard_at();
    driver.key(KeyPress::What::go, static_cast<int>(Go::next)), driver.key(KeyPress::What::go, static_cast<int>(Go::previous));
    EXPECT_EQ(keyboard_at(), here);
    EXPECT_FALSE(app.stage.focused.empty());
    driver.key(KeyPress::What::go, static_cast<int>(Go::left));
    driver.frames(2);
    EXPECT_EQ(app.stage.focused, views()[view].name);  // the navigation column
  }
}

TEST(Keyboard, PageKeysGoThroughEveryPlaceOfTheDrawing) {
  App app(false);
  start(app, "");
  app.view = view_named("Circuit");
  Driver driver(app);
  std::set<std::string> wanted, reached;
  for (const PossibleFault& possible : possible_faults(*app.circuit)) wanted.insert(possible.place);
  for (std::size_t i = 0; i < wanted.size(); ++i) driver.key(KeyPress::What::place, 1), reached.insert(app.what_if.place);
  EXPECT_EQ(reached, wanted);
  const std::string last = app.what_if.place;
  driver.key(KeyPress::What::place, 1), driver.key(KeyPress::What::place, -1);
  EXPECT_EQ(app.what_if.place, last);
  driver.key(KeyPress::What::zoom, 1);
  EXPECT_GT(app.diagram.zoom, 1);
  driver.key(KeyPress::What::whole);
  EXPECT_EQ(app.diagram.zoom, 1);
}

TEST(WrappedText, ComesBackLetterByLetterAndFitsItsRoom) {
  const auto width = [](std::string_view text) { return static_cast<float>(text.size()); };
  for (const std::string text : {"", "one", "one two three four five six", "a\n\nb c  d", "averyverylongwordthatfitsnowhere and on", "ends with a blank ", "two\nlines of some length here"})
    for (const float room : {3.0f, 8.0f, 13.0f, 200.0f}) {
      const std::string broken = wrapped(text, room, width);
      EXPECT_EQ(unwrapped(broken), text);
      for (std::size_t i = 0; i <= text.size(); ++i) EXPECT_EQ(unwrapped_place(broken, wrapped_place(broken, i)), i) << text << " " << room;
      for (std::size_t from = 0; from < broken.size();) {
        const std::size_t end = std::min(broken.find('\n', from), broken.size());
        std::string line = broken.substr(from, end - from);
        while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.pop_back();
        if (line.find(' ') != std::string::npos) { EXPECT_LE(width(line), room) << text << " " << room; }
        from = end + 1;
      }
    }
  EXPECT_EQ(unwrapped("one \rtwo"), "onetwo");  // the writer deleted our break
}

TEST(Rescue, KeepsWhatWasNotSavedAndTellsOfItAtTheNextStart) {
  const std::filesystem::path folder = scratch("rescue");
  App app(false);
  app.settings_path = folder / "settings.json";
  start(app, boat);
  EXPECT_FALSE(rescue_job(app));  // nothing to rescue
  app.document.job.complaint = "typed a moment ago";
  EXPECT_TRUE(rescue_job(app));
  EXPECT_EQ(read_job(rescue_file(app).string()).complaint, "typed a moment ago");
  App next(false);
  next.settings_path = app.settings_path;
  start(next, "");
  tell_of_rescued_job(next);
  ASSERT_TRUE(next.message);
  EXPECT_EQ(next.message->place, rescue_file(app).string());
  open_job(next, next.message->place);
  EXPECT_EQ(next.document.job.complaint, "typed a moment ago");
  ASSERT_EQ(read_previews(next.document.job).size(), 2u);
  for (const LogPreview& log : read_previews(next.document.job)) EXPECT_FALSE(log.trouble);
}

TEST(Look, MissingAndBrokenFontFilesLeaveTheBuiltInOne) {
  const std::filesystem::path broken = scratch("font") / "broken.ttf";
  std::ofstream(broken) << "this is no font";
  App app(false);
  start(app, "");
  Driver driver(app);
  ImFontAtlas atlas;
  EXPECT_FALSE(load_fonts(atlas, 17, {"/nowhere/at/all.ttf", broken.string(), "/tmp"}));
  EXPECT_EQ(atlas.Fonts.Size, 1);
}

TEST(Sound, WithoutADeviceTheBarsMustDo) {
  setenv("ALSOFT_DRIVERS", "none", 1), setenv("ALSOFT_LOGLEVEL", "0", 1);
  App app(true);
  start(app, "");
  app.acknowledged = {"air test"};
  app.view = view_named("Air");
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
    samples.push_back(static_cast<std::int16_t>(static_cast<unsigned char>(all[i]) | static_cast<unsigned char>(all[i + 1]) << 8) / 32768.0);
  return samples;
}

double loudness(const std::vector<double>& samples) {
  double sum = 0;
  for (const double s : samples) sum += s * s;
  return samples.empty() ? 0 : std::sqrt(sum / static_cast<double>(samples.size()));
}

/// Plays through the driver that writes a file, in a process of its own, for the library chooses its driver once. @return whether all went well
bool play_into(const std::filesystem::path& folder, double volume) {
  std::ofstream(folder / "alsoft.conf") << "[general]\ndrivers=wave\nsample-type=int16\nfrequency=44100\nchannels=mono\n[wave]\nfile=" << (folder / "heard.wav").string() << "\n";
  setenv("ALSOFT_CONF", (folder / "alsoft.conf").c_str(), 1), setenv("ALSOFT_DRIVERS", "wave", 1);
  Sound sound;
  sound.open();
  if (!sound.there()) return false;
  std::vector<float> tone(4410);
  for (std::size_t i = 0; i < tone.size(); ++i) tone[i] = 0.5f * std::sin(2 * 3.14159265f * 1000 * static_cast<float>(i) / 44100);
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
  // A sine of 0.5 at half volume: 0.5*0.5/sqrt(2), in the middle of what was recorded, and it turns 2000 times a second.
  const std::vector<double> middle(heard.begin() + 6000, heard.begin() + 6000 + 8820);
  EXPECT_NEAR(loudness(middle), 0.25 / std::sqrt(2.0), 0.02);
  int turns = 0;
  for (std::size_t i = 1; i < middle.size(); ++i) turns += (middle[i] > 0) != (middle[i - 1] > 0);
  EXPECT_NEAR(turns, 400, 8);
}

TEST(Diagram, NoTwoPlacesOfAShippedCircuitLieOnEachOther) {
  for (const char* file : {"models/valley_v8.json", "models/head_rail_v8.json", "models/inline_six.json"}) {
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
