#include "level_words.hpp"

#include <algorithm>
#include <climits>

namespace railseep::gui {

namespace {

struct Box {
  ImVec2 low, high;
};

/// Does the line from a to b touch the box? It is cut by each side in turn (Liang and Barsky, 1984, from memory).
bool touches(const Box& box, ImVec2 a, ImVec2 b) {
  float from = 0, to = 1;
  const auto cut = [&](float start, float way, float low, float high) {
    if (way == 0) return start >= low && start <= high;
    const float first = (low - start) / way, last = (high - start) / way;
    from = std::max(from, std::min(first, last)), to = std::min(to, std::max(first, last));
    return from <= to;
  };
  return cut(a.x, b.x - a.x, box.low.x, box.high.x) && cut(a.y, b.y - a.y, box.low.y, box.high.y);
}

int pieces_in(const Box& box, std::span<const DrawnSeries> curves) {
  int pieces = 0;
  for (const DrawnSeries& curve : curves) {
    const float wide = curve.thick + 1;
    const Box room{{box.low.x - wide, box.low.y - wide}, {box.high.x + wide, box.high.y + wide}};
    for (std::size_t i = 0; i < curve.points.size(); ++i)
      if (touches(room, curve.points[i],
                  curve.joined && i + 1 < curve.points.size() ? curve.points[i + 1] : curve.points[i]))
        ++pieces;
  }
  return pieces;
}

}  // namespace

ImVec2 place_words(ImVec2 low, ImVec2 high, float y, ImVec2 size, std::span<const DrawnSeries> curves) {
  const float edge = 0.4f * size.y, right = high.x - size.x - edge;
  ImVec2 best(right, y - 1.25f * size.y > low.y ? y - 1.25f * size.y : y + 0.25f * size.y);
  int fewest = INT_MAX;
  // Close to the line all the way to the left first, then a little further off.
  for (const float gap : {0.25f * size.y, 0.8f * size.y})
    for (float x = right; x >= low.x + 0.2f * size.y; x -= 0.5f * size.y)
      for (const float top : {y - size.y - gap, y + gap}) {
        if (top < low.y || top + size.y > high.y) continue;
        const int pieces = pieces_in({{x, top}, {x + size.x, top + size.y}}, curves);
        if (pieces < fewest) fewest = pieces, best = {x, top};
        if (pieces == 0) return best;
      }
  return best;
}

}  // namespace railseep::gui
