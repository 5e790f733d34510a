// Plots: curves thinned, zoomed and labelled.
#include <gtest/gtest.h>

#include <cmath>

#include "gui_scene.hpp"
#include "level_words.hpp"

namespace railseep::gui {
namespace {

TEST(Plot, ThinningKeepsEverySpikeInAMillionSamples) {
  std::vector<double> time(1000000), value(time.size(), 1.0);
  for (std::size_t i = 0; i < time.size(); ++i) time[i] = 1e-5 * static_cast<double>(i);
  value[333333] = 9, value[777777] = -9;
  const std::vector<Sample> kept = thinned(time, value, 0, 10, 800);
  EXPECT_LE(kept.size(), 4u * 802);
  const auto has = [&](double wanted) {
    return std::any_of(kept.begin(), kept.end(), [&](const Sample& sample) { return sample.value == wanted; });
  };
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

TEST(Plot, ALogShorterThanTheNearestZoomIsShownWhole) {
  TimeAxis axis;
  axis.cover(0, 0.004);
  for (const double factor : {0.5, 2.0}) {
    axis.zoom(factor, 0.002);
    EXPECT_DOUBLE_EQ(axis.from, 0);
    EXPECT_DOUBLE_EQ(axis.to, 0.004);
  }
}

TEST(Plot, NumbersOfTheAxesStayApartInEveryViewAndSize) {
  App app(true);
  start(app, boat);
  app.acknowledged = {"air test", "coil"};
  for (const ImVec2 size : {ImVec2(1280, 720), ImVec2(2560, 1440)}) {
    Driver driver(app, size.x, size.y);
    for (const char* view : {"Bench", "Model"}) {
      show_card(app, {Card::What::log, 0});
      app.view = view_named(view);
      driver.settle();
      expect_labels_apart(app, view);
    }
  }
}

/// Is a point of the curve, followed in steps far below a pixel, within the box? Brute force, another way than the one
/// tested.
bool runs_through(const DrawnSeries& curve, ImVec2 low, ImVec2 high) {
  for (std::size_t i = 0; i + 1 < curve.points.size(); ++i)
    for (double s = 0; s <= 1; s += 0.001) {
      const double x = curve.points[i].x + s * (curve.points[i + 1].x - curve.points[i].x),
                   y = curve.points[i].y + s * (curve.points[i + 1].y - curve.points[i].y);
      if (x >= low.x && x <= high.x && y >= low.y && y <= high.y) return true;
    }
  return false;
}

TEST(Plot, WordsOfALevelStandClearOfEveryCurveWhereThereIsRoom) {
  const ImVec2 low(40, 30), high(540, 230), size(120, 17);
  int clear = 0;
  for (double level = 60; level < 220; level += 10)
    for (double rise = 0.5; rise < 6; rise += 0.5) {
      DrawnSeries curve;  // a pressure that rises to just above the level, as they do
      for (int i = 0; i <= 300; ++i)
        curve.points.emplace_back(static_cast<float>(40 + 500.0 * i / 300),
                                  static_cast<float>(225 - (230 - level) * (1 - std::exp(-rise * i / 100.0))));
      const ImVec2 at = place_words(low, high, static_cast<float>(level), size, std::span(&curve, 1));
      const ImVec2 end(at.x + size.x, at.y + size.y);
      ASSERT_FALSE(runs_through(curve, at, end)) << level << " " << rise;
      ASSERT_TRUE(at.x >= low.x && at.y >= low.y && end.x <= high.x && end.y <= high.y) << level << " " << rise;
      ASSERT_TRUE(end.y < level || at.y > level);
      clear += at.x < high.x - size.x - 20;
    }
  EXPECT_GT(clear, 0);  // some had to give way to the left
  // Two points far apart are a line all the way between them.
  const DrawnSeries line{{{40, 90}, {540, 125}}};
  const ImVec2 beside = place_words(low, high, 130, size, std::span(&line, 1));
  EXPECT_FALSE(runs_through(line, beside, {beside.x + size.x, beside.y + size.y}));
  // Where a curve fills everything some place is still found.
  DrawnSeries everywhere;
  for (int i = 0; i <= 1000; ++i)
    everywhere.points.emplace_back(static_cast<float>(40 + i / 2), i % 2 == 0 ? 30.0f : 230.0f);
  const ImVec2 at = place_words(low, high, 130, size, std::span(&everywhere, 1));
  EXPECT_TRUE(at.x >= low.x && at.x + size.x <= high.x);
}

/// Corners of curves drawn in a colour within a box of the screen.
int corners_in(ImU32 colour, ImVec4 box) {
  int corners = 0;
  const ImDrawData* data = ImGui::GetDrawData();
  for (int i = 0; i < data->CmdListsCount; ++i)
    for (const ImDrawVert& vertex : data->CmdLists[i]->VtxBuffer)
      corners += vertex.col == colour && vertex.pos.x > box.x && vertex.pos.x < box.z && vertex.pos.y > box.y &&
                 vertex.pos.y < box.w;
  return corners;
}

TEST(Plot, NeededToInjectIsNeverWrittenOnTheCurve) {
  App app(true);
  start(app, "");
  show_model(app, ModelTool::oil);
  for (const ImVec2 size : {ImVec2(1280, 720), ImVec2(2560, 1440)}) {
    Driver driver(app, size.x, size.y);
    for (const double hole : {0.0, 0.0004, 0.00055, 0.00065, 0.0008, 0.0012}) {
      app.what_if.question.faults.clear();
      if (hole > 0) app.what_if.question.faults = {{"left rail front end plug", "hole", hole}};
      driver.settle();
      int seen = 0;
      for (const Stage::Label& label : app.stage.labels)
        if (label.text == "needed to inject") {
          ++seen;
          EXPECT_EQ(corners_in(palette().computed, label.box), 0) << hole << " at " << size.x;
        }
      EXPECT_EQ(seen, 1) << hole;
    }
  }
}

TEST(Plot, KeysZoomMoveAndReadAndTheHelpLineTellsThem) {
  App app(true);
  start(app, boat);
  show_card(app, {Card::What::log, 0});
  Driver driver(app);
  driver.settle();
  EXPECT_TRUE(driver.says("Shift+arrows: move"));
  show_model(app, ModelTool::oil);
  driver.settle();
  TimeAxis& axis = app.what_if.axis;
  EXPECT_TRUE(driver.says("Ctrl+arrows: read values"));
  driver.key(KeyPress::What::zoom, 1);  // the keyboard is at no plot: the drawing's
  EXPECT_GT(app.diagram.zoom, 1);
  driver.key(KeyPress::What::move, static_cast<int>(Go::right)),
      driver.key(KeyPress::What::move, static_cast<int>(Go::down));
  EXPECT_TRUE(app.diagram.shift.x > 0 && app.diagram.shift.y > 0);
  EXPECT_EQ(axis.to - axis.from, 6);
  for (int i = 0; i < 60 && app.stage.focused != "pressure plot/area"; ++i)
    driver.key(KeyPress::What::go, static_cast<int>(Go::next));
  ASSERT_EQ(app.stage.focused, "pressure plot/area");
  EXPECT_EQ(app.stage.help, plot_keys);
  const float zoom = app.diagram.zoom;
  driver.key(KeyPress::What::zoom, 1), driver.key(KeyPress::What::zoom, 1), driver.key(KeyPress::What::zoom, 1);
  EXPECT_NEAR(axis.to - axis.from, 6 * 0.8 * 0.8 * 0.8, 1e-9);
  EXPECT_EQ(app.diagram.zoom, zoom);
  const double from = axis.from;
  driver.key(KeyPress::What::move, static_cast<int>(Go::right));
  EXPECT_GT(axis.from, from);
  driver.key(KeyPress::What::move, static_cast<int>(Go::left));
  EXPECT_NEAR(axis.from, from, 1e-9);
  driver.key(KeyPress::What::read, 1);
  ASSERT_TRUE(axis.cursor);
  const double read = *axis.cursor;
  EXPECT_DOUBLE_EQ(app.what_if.time, read);  // the drawing goes with it
  driver.key(KeyPress::What::read, -1);
  EXPECT_LT(*axis.cursor, read);
  driver.frames(5);
  EXPECT_TRUE(axis.cursor);  // it stays
  driver.key(KeyPress::What::whole);
  EXPECT_EQ(axis.to - axis.from, 6);
}

}  // namespace
}  // namespace railseep::gui
