#pragma once

#include <imgui.h>

#include <cmath>
#include <string_view>

namespace railseep::gui {

/// Draws with the y axis along the flow and the x axis to the right (or up), so that one symbol serves pipes in every
/// direction.
class Pen {
 public:
  Pen(ImDrawList& draw, ImVec2 middle, ImVec2 along, float unit, ImU32 ink, ImU32 paper)
      : draw_(&draw),
        middle_(middle),
        along_(along),
        aside_(std::abs(along.y), -std::abs(along.x)),
        unit_(unit),
        ink_(ink),
        paper_(paper) {}

  ImVec2 at(float x, float y) const {
    return {middle_.x + unit_ * (y * along_.x + x * aside_.x), middle_.y + unit_ * (y * along_.y + x * aside_.y)};
  }
  void line(float x1, float y1, float x2, float y2) const;
  void circle(float x, float y, float radius) const;  // filled with paper
  void disc(float x, float y, float radius) const;    // filled with ink
  void box(float x1, float y1, float x2, float y2) const;
  void arrow_head(float x, float y, float dx, float dy, float size) const;  // filled, the tip at (x, y)
  void arc(float x, float y, float radius, float from, float to) const;     // [rad] in the pen's axes
  float thickness() const;

 private:
  ImDrawList* draw_;
  ImVec2 middle_, along_, aside_;
  float unit_;
  ImU32 ink_, paper_;
};

/// The symbol of a kind of link after ISO 1219-1 (drawn from memory of the standard), within about one unit. Unknown
/// kinds: a plain box.
void draw_symbol(std::string_view kind, const Pen& pen);

void draw_tank(ImDrawList& draw, ImVec2 bottom, float unit, ImU32 ink);

}  // namespace railseep::gui
