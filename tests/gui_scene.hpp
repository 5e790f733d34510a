#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "gui_driver.hpp"
#include "views.hpp"

namespace railseep::gui {

inline const std::string boat = RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/job.json";

/// An empty folder of one test.
inline std::filesystem::path scratch(const std::string& name) {
  const std::filesystem::path folder = std::filesystem::path(testing::TempDir()) / "railseep_gui" / name;
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  return folder;
}

inline int view_named(const std::string& name) {
  for (int i = 0; i < static_cast<int>(views().size()); ++i)
    if (name == views()[i].name) return i;
  return -1;
}

/// What there is to be seen on a page: each card of the story unfolded, both tools of the model.
struct PageState {
  std::string name;
  std::function<void()> show;
};
inline std::vector<PageState> states_of(App& app, std::string_view page) {
  std::vector<PageState> states;
  if (page == "Bench") {
    for (int tab = 1; tab < 3; ++tab)
      states.push_back({"tab " + std::to_string(tab), [&app, tab] { app.bench.tab = tab; }});
    for (const Card& card : story_of(app.document.job))
      states.push_back({card.id(), [&app, card] { show_card(app, card); }});
    states.push_back({"greeting", [&app] { app.bench.greeting = true; }});
    states.push_back({"folded", [&app] { app.bench.greeting = false, app.bench.open.clear(); }});
  } else if (page == "Model") {
    for (const ModelTool tool : {ModelTool::air, ModelTool::oil})
      states.push_back({tool == ModelTool::oil ? "oil" : "air", [&app, tool] { app.tool = tool; }});
  } else if (page == "Training") {
    states.push_back({"list", [&app] { app.training.page = Training::Page::list; }});
    states.push_back({"lesson", [&app] { begin_lesson(app, "scenarios/exercises/lessons/2-hole-and-gap.json"); }});
  } else {
    states.push_back({"", [] {}});
  }
  return states;
}

/// Every word has the room it needs.
inline void expect_room_for_texts(const App& app, const std::string& where) {
  for (const Stage::PlacedText& text : app.stage.texts)
    EXPECT_LE(text.needed, text.room + 1) << where << ": \"" << text.text << "\" has no room";
}

/// Every text of drawings and plots lies within its room and on no other of the same picture.
inline void expect_labels_apart(const App& app, const std::string& where) {
  const std::vector<Stage::Label>& labels = app.stage.labels;
  EXPECT_GT(labels.size(), 10u) << where;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const Stage::Label& a = labels[i];
    EXPECT_TRUE(a.box.x >= a.room.x - 1 && a.box.y >= a.room.y - 1 && a.box.z <= a.room.z + 1 &&
                a.box.w <= a.room.w + 1)
        << where << ": \"" << a.text << "\" of " << a.picture << " leaves its room";
    for (std::size_t k = 0; k < i; ++k) {
      const Stage::Label& b = labels[k];
      const bool apart = a.picture != b.picture || a.box.x >= b.box.z || b.box.x >= a.box.z || a.box.y + 1 >= b.box.w ||
                         b.box.y + 1 >= a.box.w;
      EXPECT_TRUE(apart) << where << ": \"" << a.text << "\" lies on \"" << b.text << "\" in " << a.picture;
    }
  }
}

}  // namespace railseep::gui
