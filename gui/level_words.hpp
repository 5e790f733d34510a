#pragma once

#include <imgui.h>

#include <span>
#include <vector>

namespace railseep::gui {

/// A curve or measured points as drawn [pixels].
struct DrawnSeries {
  std::vector<ImVec2> points;
  bool joined = true;  // by lines
  float thick = 2;     // of the line, or of a point
};

/// Left top corner of a level's words: above or below its line, as far right as they stand clear of every curve; where
/// nothing is clear, where the fewest pieces of curves run through them. @param low, high corners of the plot. @param y
/// of the level's line. @param size of the words
ImVec2 place_words(ImVec2 low, ImVec2 high, float y, ImVec2 size, std::span<const DrawnSeries> curves);

}  // namespace railseep::gui
