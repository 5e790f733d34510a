// Every control can be reached and used by keys alone.
#include <gtest/gtest.h>

#include <set>

#include "gui_scene.hpp"

namespace railseep::gui {
namespace {

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
    for (std::size_t i = 0; i < wanted.size() + 2; ++i)
      driver.key(KeyPress::What::go, static_cast<int>(Go::next)), reached.insert(keyboard_at());
    EXPECT_EQ(reached, wanted) << views()[view].name;
    const unsigned here = keyboard_at();
    driver.key(KeyPress::What::go, static_cast<int>(Go::next)),
        driver.key(KeyPress::What::go, static_cast<int>(Go::previous));
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
  show_model(app, ModelTool::oil);
  Driver driver(app);
  std::set<std::string> wanted, reached;
  for (const PossibleFault& possible : possible_faults(*app.circuit)) wanted.insert(possible.place);
  for (std::size_t i = 0; i < wanted.size(); ++i)
    driver.key(KeyPress::What::place, 1), reached.insert(app.what_if.place);
  EXPECT_EQ(reached, wanted);
  const std::string last = app.what_if.place;
  driver.key(KeyPress::What::place, 1), driver.key(KeyPress::What::place, -1);
  EXPECT_EQ(app.what_if.place, last);
  driver.key(KeyPress::What::zoom, 1);
  EXPECT_GT(app.diagram.zoom, 1);
  driver.key(KeyPress::What::whole);
  EXPECT_EQ(app.diagram.zoom, 1);
}

}  // namespace
}  // namespace railseep::gui
