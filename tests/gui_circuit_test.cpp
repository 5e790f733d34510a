// The circuit view's logic: leaks, sliders, curves, and a drawing in which every name can be read.
#include <gtest/gtest.h>

#include <cmath>

#include "gui_scene.hpp"

namespace railseep::gui {
namespace {

TEST(Gui, PressingASiteAndAKindOpensALeakAndANewCurveFollows) {
  App app(true);
  start(app, "");
  show_model(app, ModelTool::oil);
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

TEST(Model, OnePressOpensALeakUndoTakesItBackAndHealthyEndsAll) {
  App app(false);
  start(app, "");
  show_model(app, ModelTool::oil);
  Driver driver(app);
  driver.settle();
  driver.click("diagram/left rail rear end plug");
  ASSERT_EQ(app.what_if.question.faults.size(), 1u);
  driver.click("diagram/left rail rear end plug");  // it has one already
  ASSERT_EQ(app.what_if.question.faults.size(), 1u);
  const double before = app.what_if.question.oil_temperature;
  driver.drag(driver.place("Oil temperature", 0.8f), driver.place("Oil temperature", 0.2f));
  driver.frames(2);
  const double after = app.what_if.question.oil_temperature;
  ASSERT_NE(after, before);
  const std::string job = app.document.text();
  driver.key(KeyPress::What::undo);  // the whole drag is one step
  EXPECT_EQ(app.what_if.question.oil_temperature, before);
  EXPECT_TRUE(driver.says("Undone: "));
  driver.key(KeyPress::What::undo);
  EXPECT_TRUE(app.what_if.question.faults.empty());
  driver.key(KeyPress::What::redo), driver.key(KeyPress::What::redo);
  EXPECT_EQ(app.what_if.question.oil_temperature, after);
  EXPECT_EQ(app.document.text(), job);
  driver.click("Healthy engine");
  driver.frames(2);
  EXPECT_TRUE(app.what_if.question == healthy(*app.circuit));
}

TEST(Model, FourPinsKeepTheirConditionsAndFixedAxesStay) {
  App app(false);
  start(app, "");
  show_model(app, ModelTool::oil);
  Driver driver(app);
  driver.settle();
  for (int i = 0; i < 6; ++i) {
    app.what_if.question.oil_temperature = 293.15 + 10 * i;
    driver.settle();
    driver.click("Pin##pin");
  }
  ASSERT_EQ(app.what_if.pins.size(), most_pins);
  EXPECT_DOUBLE_EQ(app.what_if.pins[0]->question.oil_temperature, 293.15);
  for (const char* name : {"1: 20 °C, healthy", "4: 50 °C, healthy"})
    EXPECT_TRUE(driver.shows(std::string("pressure plot/legend/") + name)) << name;
  const auto numbers = [&] {
    std::string all;
    for (const Stage::Label& label : app.stage.labels)
      if (label.picture == "pressure plot" && label.text.find_first_not_of("0123456789") == std::string::npos)
        all += label.text + " ";
    return all;
  };
  driver.click("Unpin##pin");
  driver.click("Fix axes##axes");
  driver.settle();
  const std::string axis = numbers();
  app.what_if.question.faults = {{"left rail rear end plug", "hole", 0.002}};
  driver.settle();
  EXPECT_EQ(numbers(), axis);
  driver.click("Fix axes##axes");
  driver.settle();
  EXPECT_NE(numbers(), axis);
}

TEST(Model, APinTellsThePlaceOfItsFaultAndWhatIsNotAsUsual) {
  App app(false);
  start(app, "");
  show_model(app, ModelTool::oil);
  Driver driver(app, 2560, 1440);
  app.what_if.question.oil_temperature = 293.15;
  app.what_if.question.battery = 8;
  app.what_if.question.faults = {{"left rail rear end plug", "hole", 0.0005}};
  driver.settle();
  driver.click("Pin##pin");
  driver.frames(2);
  EXPECT_TRUE(driver.shows("pressure plot/legend/1: 20 °C, hole 0.50 mm at left rail rear end plug, 8.0 V"));
  EXPECT_TRUE(driver.shows("duty plot/legend/1"));
}

/// Height of capitals in letters of one pixel.
float capital_height() {
  const ImFontGlyph& letter = *ImGui::GetFont()->FindGlyph('H');
  return (letter.Y1 - letter.Y0) / ImGui::GetFont()->FontSize;
}

// The picture is 2 m wide and read from 5 m. Letters of 1/200 of that distance, 25 mm, are 1/80 of its width.
TEST(Model, OnTheWholeScreenAClassReadsEveryLetterFromFiveMetres) {
  for (const ImVec2 size : {ImVec2(1280, 720), ImVec2(1920, 1080), ImVec2(2560, 1440), ImVec2(1024, 768)}) {
    App app(false);
    start(app, "");
    app.what_if.question.faults = {{"left rail rear end plug", "hole", 0.0005}};
    show_model(app, ModelTool::oil);
    {
      Driver window(app, size.x, size.y);
      window.click("Full screen");
    }
    ASSERT_TRUE(app.full_screen);
    Driver driver(app, size.x, size.y);
    driver.settle();
    if (ImGui::GetIO().Fonts->Fonts.Size == 1) GTEST_SKIP() << "no font file";
    const std::string where = std::to_string(static_cast<int>(size.x));
    expect_whole_drawing(app, "diagram", *app.circuit, app.diagram.layout, where);
    expect_labels_apart(app, where, 0.2f);
    expect_room_for_texts(app, where);
    const float least = size.x / 80 - 0.5f;  // half a pixel of rounding
    EXPECT_GE(em() * capital_height(), least) << where;
    for (const Stage::Label& label : app.stage.labels)
      EXPECT_GE((label.box.w - label.box.y) * capital_height(), least) << where << ": " << label.text;
    EXPECT_TRUE(driver.says("hole 0.50 mm at left rail rear end plug")) << where;
    for (const char* around : {"Save", "Oil temperature", "Pin##pin", "Menu"}) EXPECT_FALSE(driver.shows(around));
    EXPECT_TRUE(driver.shows("pressure plot/area") && driver.shows("duty plot/area"));
    driver.press(27);
    EXPECT_FALSE(app.full_screen);
    driver.key(KeyPress::What::full_screen);
    EXPECT_TRUE(app.full_screen);
    driver.click("Back##class");
    EXPECT_FALSE(app.full_screen);
  }
}

TEST(Model, TextAndDrawingGrowTogetherUpToThreeTimes) {
  App app(false);
  start(app, "");
  show_model(app, ModelTool::oil);
  for (const ImVec2 size : {ImVec2(800, 600), ImVec2(1280, 720), ImVec2(2560, 1440)}) {
    float before = 0;
    for (const double scale : {1.0, 1.5, 2.0, 3.0}) {
      app.settings.text_scale = scale;
      Driver driver(app, size.x, size.y);
      driver.settle();
      const std::string where = std::to_string(static_cast<int>(size.x)) + ", text at " +
                                std::to_string(static_cast<int>(100 * scale)) + " %";
      expect_whole_drawing(app, "diagram", *app.circuit, app.diagram.layout, where);
      expect_labels_apart(app, where, 0.2f);
      expect_controls_in_sight(app, where);
      float smallest = 1e9f;
      for (const Stage::Label& label : app.stage.labels)
        if (label.picture == "diagram") smallest = std::min(smallest, label.box.w - label.box.y);
      EXPECT_GE(smallest, 0.7f * em()) << where;
      EXPECT_GT(smallest, before) << where;
      before = smallest;
    }
  }
  app.settings.text_scale = 1;
  Driver driver(app);
  for (int i = 0; i < 40; ++i) driver.key(KeyPress::What::larger);
  EXPECT_NEAR(app.settings.text_scale, 3, 1e-9);
}

TEST(Model, AMovedDrawingIsBroughtBackByAButton) {
  App app(false);
  start(app, "");
  show_model(app, ModelTool::oil);
  Driver driver(app);
  driver.settle();
  const ImVec2 middle = driver.place("diagram");
  for (int i = 0; i < 5; ++i) driver.wheel({middle.x + 200, middle.y}, 1);
  ASSERT_NE(app.diagram.zoom, 1);
  driver.click("Whole drawing");
  EXPECT_TRUE(app.diagram.zoom == 1 && app.diagram.shift.x == 0 && app.diagram.shift.y == 0);
}

TEST(Gui, DraggingALeakUpMakesItLarger) {
  App app(false);
  start(app, "");
  show_model(app, ModelTool::oil);
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
  show_model(app, ModelTool::oil);
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
      condition.oil = question.oil, condition.oil_temperature = temperature, condition.speed = Profile(question.speed),
      condition.battery = Profile(question.battery);
      condition.rest_air = question.rest_air;
      CrankOptions fine;
      fine.duration = question.duration, fine.output_times = curve.trace.time, fine.tolerance = 1e-8;
      const Trace exact = crank(with_faults(*app.circuit, question.faults), condition, fine).trace;
      for (const std::string_view channel : {signal::shown_pressure, signal::regulator_duty}) {
        const std::vector<double>&a = curve.trace.find(channel).value, &b = exact.find(channel).value;
        const double peak = *std::max_element(b.begin(), b.end());
        for (std::size_t i = 0; i < a.size(); ++i)
          ASSERT_NEAR(a[i], b[i], 0.01 * peak) << channel << " at " << curve.trace.time[i] << " s";
      }
    }
}

TEST(Diagram, EveryNameOfEveryShippedCircuitIsWrittenApartFromAllOthers) {
  for (const char* file : {"models/valley_v8.json", "models/head_rail_v8.json", "models/inline_six.json"})
    for (const ImVec2 size : {ImVec2(1280, 720), ImVec2(2560, 1440)}) {
      App app(false);
      start(app, "");
      show_model(app, ModelTool::oil);
      ASSERT_TRUE(load_circuit(app, file));
      app.document.job.circuit = file;
      // Two leaks side by side: their sizes are in each other's way.
      for (const int site : {1, 2})
        app.what_if.question.faults.push_back({app.circuit->sites[site].name, "hole", 0.0005});
      Driver driver(app, size.x, size.y);
      driver.settle();
      const std::string where = std::string(file) + " at " + std::to_string(static_cast<int>(size.x));
      expect_labels_apart(app, where);
      std::string written;
      for (const Stage::Label& label : app.stage.labels)
        if (label.picture == "diagram") written += "|" + label.text + "|";
      for (std::size_t i = 0; i < app.circuit->sites.size(); ++i)
        EXPECT_NE(written.find("|" + std::to_string(i + 1) + "|"), std::string::npos) << where << ": number " << i + 1;
      for (const DiagramLayout::Label& name : app.diagram.layout.labels)
        for (const std::string& line : name.lines)
          EXPECT_NE(written.find("|" + line + "|"), std::string::npos) << where << ": " << line;
      for (std::size_t i = 0; i < app.circuit->nodes.size(); ++i)
        if (app.diagram.layout.bars[i].drawn) {
          EXPECT_NE(written.find("|" + app.circuit->nodes[i].name), std::string::npos)
              << where << ": " << app.circuit->nodes[i].name;
        }
    }
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
      for (std::size_t k = 0; k < i; ++k)
        EXPECT_GT(std::hypot(all[i].x - all[k].x, all[i].y - all[k].y), 0.8f) << file << " " << i << " " << k;
  }
}

}  // namespace
}  // namespace railseep::gui
