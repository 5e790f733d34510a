// The match view's logic.
#include <gtest/gtest.h>

#include "gui_scene.hpp"

namespace railseep::gui {
namespace {

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

}  // namespace
}  // namespace railseep::gui
