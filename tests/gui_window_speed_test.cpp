// From a moved slider to the curve on the screen: what it takes here, and that no frame waits for a curve.
#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <vector>

#include "gui_window_scene.hpp"

namespace railseep::gui {
namespace {

double seconds() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

/// The value that a share of all lies below.
double quantile(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  return values.empty() ? 0 : values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

struct Times {
  std::vector<double> logic, drawing, computed, ready, shown;
  int drawn = 0;
};

/// The platform loop, until the curve of this place of the slider is on the screen.
void move_slider(App& app, Window& window, double oil_temperature, Times& times) {
  app.what_if.question.oil_temperature = oil_temperature;
  const double moved = seconds();
  while (seconds() < moved + 5) {
    window.step();
    times.logic.push_back(window.times().frame);
    if (window.times().drawing > 0) times.drawing.push_back(window.times().drawing), ++times.drawn;
    if (app.what_if.now->question == app.what_if.question && window.times().drawing > 0) break;
    window.wait();
  }
  times.shown.push_back(seconds() - moved), times.ready.push_back(times.shown.back() - window.times().drawing),
      times.computed.push_back(app.what_if.now->wait);
}

std::vector<double> cranks_alone(App& app) {
  std::vector<double> alone;
  for (int i = 0; i < 40; ++i) {
    app.what_if.question.oil_temperature = 310 + i;
    const double began = seconds();
    answer(*app.circuit, app.what_if.question);
    alone.push_back(seconds() - began);
  }
  return alone;
}

/// Times are printed, not judged: they belong to the machine, which also draws with its processor here.
TEST(GuiWindow, CurvesComeWhileASliderMoves) {
  App app(true);
  start(app, "");
  show_model(app, ModelTool::oil);
  app.settings.motion = false;
  Window window(app, 1280, 720);
  settle(app, window);
  Times times;
  for (int i = 0; i < 100; ++i) {
    move_slider(app, window, 300 + 0.7 * i, times);
    ASSERT_EQ(app.what_if.now->question, app.what_if.question);
  }
  const auto print = [](const char* what, const std::vector<double>& all) {
    std::printf("%-46s median %6.2f ms, nine of ten under %6.2f ms\n", what, 1e3 * quantile(all, 0.5),
                1e3 * quantile(all, 0.9));
  };
  double load[1] = {0};
  if (getloadavg(load, 1) == 1)
    std::printf("load %.1f; %.2f pictures drawn for each move\n", load[0], times.drawn / 100.0);
  print("crank alone", cranks_alone(app));
  print("slider moved to crank computed", times.computed);
  print("frame function", times.logic);
  print("slider moved to frame with its curve ready", times.ready);
  print("graphics driver, in software here", times.drawing);
  print("slider moved to curve on the screen", times.shown);
}

TEST(GuiWindow, KeepsAFrameBackForItsCurveButNotForLong) {
  App app(true);
  start(app, "");
  show_model(app, ModelTool::oil);
  app.settings.motion = false;
  Window window(app, 1280, 720);
  settle(app, window);
  window.step();
  EXPECT_GT(window.times().drawing, 0);
  std::atomic<bool> go = false;
  const auto curve = [&](const Worker::Cancelled&) -> Worker::Deliver {
    while (!go) std::this_thread::yield();
    return [&app] { app.what_if.now = std::make_shared<Curve>(*app.what_if.now); };
  };
  app.live.submit(curve, {});
  window.step();
  EXPECT_EQ(window.times().drawing, 0);  // the curve may come at any moment
  go = true;
  for (int i = 0; i < 1000 && window.times().drawing == 0; ++i) window.wait(), window.step();
  EXPECT_GT(window.times().drawing, 0);
  // One that does not come: the frame is drawn without it, and no step or wait takes as long as it.
  go = false;
  app.live.submit(curve, {});
  const double began = seconds();
  int steps = 0;
  do window.step(), window.wait(), ++steps;
  while (window.times().drawing == 0 && seconds() < began + 5);
  EXPECT_GT(window.times().drawing, 0);
  EXPECT_LT(seconds() - began, 1.5);
  EXPECT_TRUE(app.live.busy());
  go = true;
  settle(app, window);
}

}  // namespace
}  // namespace railseep::gui
