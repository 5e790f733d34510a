// Plots: curves thinned, zoomed and labelled.
#include <gtest/gtest.h>

#include "gui_scene.hpp"

namespace railseep::gui {
namespace {

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

}  // namespace
}  // namespace railseep::gui
