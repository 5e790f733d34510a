#pragma once

#include <gtest/gtest.h>
#include <imgui_internal.h>

#include <algorithm>
#include <filesystem>
#include <functional>
#include <set>
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
  } else if (page == "Report") {
    for (const int tab : {1, 0})
      states.push_back({"tab " + std::to_string(tab), [&app, tab] { app.reporting.tab = tab; }});
  } else if (page == "Shop") {
    for (const int tab : {1, 0}) states.push_back({"tab " + std::to_string(tab), [&app, tab] { app.shop_tab = tab; }});
  } else if (page == "Training") {
    for (const int tab : {1, 0})
      states.push_back({"list " + std::to_string(tab),
                        [&app, tab] { app.training.page = Training::Page::list, app.training.list_tab = tab; }});
    states.push_back({"lesson", [&app] { begin_lesson(app, "scenarios/exercises/lessons/2-hole-and-gap.json"); }});
  }
  return states;
}

/// Every word has the room it needs.
inline void expect_room_for_texts(const App& app, const std::string& where) {
  for (const Stage::PlacedText& text : app.stage.texts)
    EXPECT_LE(text.needed, text.room + 1) << where << ": \"" << text.text << "\" has no room";
}

/// Every name and every number of the drawing is written.
inline void expect_whole_drawing(const App& app, const std::string& picture, const Circuit& circuit,
                                 const DiagramLayout& layout, const std::string& where) {
  std::multiset<std::string> written;
  for (const Stage::Label& label : app.stage.labels)
    if (label.picture == picture) written.insert(label.text);
  for (const DiagramLayout::Label& name : layout.labels)
    for (const std::string& line : name.lines) EXPECT_TRUE(written.contains(line)) << where << ": " << line;
  const auto begins = [&](const std::string& name) {
    return std::ranges::any_of(written, [&](const std::string& text) { return text.starts_with(name); });
  };
  for (std::size_t i = 0; i < layout.bars.size(); ++i) {
    const bool named = layout.bars[i].drawn || layout.bars[i].source;
    EXPECT_TRUE(!named || begins(circuit.nodes[i].name)) << where << ": " << circuit.nodes[i].name;
  }
  for (std::size_t i = 0; i < circuit.sites.size(); ++i)
    EXPECT_TRUE(written.contains(std::to_string(i + 1))) << where << ": place " << i + 1;
}

/// No control is cut off at the side of the part of the window that it stands in.
inline void expect_controls_in_sight(const App& app, const std::string& where) {
  for (const Stage::Stop& stop : app.stage.stops) {
    const ImRect& room = stop.window->InnerRect;
    if (stop.window->Flags & ImGuiWindowFlags_HorizontalScrollbar) continue;
    EXPECT_TRUE(stop.box.x >= room.Min.x - 1 && stop.box.z <= room.Max.x + 1)
        << where << ": " << stop.name << " is cut off";
  }
}

/// Every text of drawings and plots lies within its room and on no other of the same picture.
/// @param tails share of the height of letters that may reach into what is below: letters without tails leave it free
inline void expect_labels_apart(const App& app, const std::string& where, float tails = 0) {
  const std::vector<Stage::Label>& labels = app.stage.labels;
  EXPECT_GT(labels.size(), 10u) << where;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const Stage::Label& a = labels[i];
    EXPECT_TRUE(a.box.x >= a.room.x - 1 && a.box.y >= a.room.y - 1 && a.box.z <= a.room.z + 1 &&
                a.box.w <= a.room.w + 1)
        << where << ": \"" << a.text << "\" of " << a.picture << " leaves its room";
    for (std::size_t k = 0; k < i; ++k) {
      const Stage::Label& b = labels[k];
      const float free = 1 + tails * std::min(a.box.w - a.box.y, b.box.w - b.box.y);
      const bool apart = a.picture != b.picture || a.box.x >= b.box.z || b.box.x >= a.box.z ||
                         a.box.y + free >= b.box.w || b.box.y + free >= a.box.w;
      EXPECT_TRUE(apart) << where << ": \"" << a.text << "\" lies on \"" << b.text << "\" in " << a.picture;
    }
  }
}

}  // namespace railseep::gui
