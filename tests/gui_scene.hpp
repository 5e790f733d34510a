#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <string>

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
