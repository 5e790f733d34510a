#include "flow_picture.hpp"

#include <algorithm>
#include <cmath>

#include "look.hpp"
#include "widgets.hpp"

namespace railseep::gui {

namespace {

struct Stream {
  std::string name;
  double flow;
  ImU32 colour;
};

std::vector<Stream> streams_of(const OilBalance& oil, const std::string& wrong) {
  const Palette& p = palette();
  std::vector<Stream> streams{{"slips back inside the pump", oil.slip, p.previous}};
  for (const OilBalance::Share& use : oil.uses)
    streams.push_back({use.name, use.flow, use.name == wrong ? p.leak : p.computed});
  streams.push_back({"fills and compresses", oil.stored, p.enable});
  std::erase_if(streams, [&](const Stream& stream) { return stream.flow < 0.004 * oil.displaced; });
  return streams;
}

/// A band that leaves at one height and arrives at another.
void draw_band(ImDrawList& draw, ImVec2 from, ImVec2 to, float from_thick, float to_thick, ImU32 colour) {
  constexpr int pieces = 24;
  const auto bend = [](float s) { return s * s * (3 - 2 * s); };
  for (int i = 0; i < pieces; ++i) {
    const float a = static_cast<float>(i) / pieces, b = static_cast<float>(i + 1) / pieces;
    const auto x = [&](float s) { return from.x + s * (to.x - from.x); };
    const auto y = [&](float s) { return from.y + bend(s) * (to.y - from.y); };
    const auto half = [&](float s) { return 0.5f * (from_thick + bend(s) * (to_thick - from_thick)); };
    draw.AddQuadFilled({x(a), y(a) - half(a)}, {x(b) + 0.5f, y(b) - half(b)}, {x(b) + 0.5f, y(b) + half(b)},
                       {x(a), y(a) + half(a)}, colour);
  }
}

}  // namespace

void draw_flow_picture(const OilBalance& oil, const std::string& wrong, ImVec2 size) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::Dummy(size);
  note_widget("flow picture");
  if (!(oil.displaced > 0)) return;
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  const std::vector<Stream> streams = streams_of(oil, wrong);
  const float row = std::max(1.4f * em(), size.y / static_cast<float>(std::max<std::size_t>(1, streams.size())));
  const float trunk = std::min(0.7f * size.y, 8 * em()), left = at.x + 7.5f * em(), right = at.x + 0.52f * size.x;
  const auto number = [](double flow) { return plain_number(flow * 1e6, 3) + " cm³/s"; };
  draw.AddText({at.x, at.y + size.y / 2 - 1.1f * em()}, palette().text, "pump displaces");
  draw.AddText({at.x, at.y + size.y / 2 + 0.1f * em()}, palette().quiet, number(oil.displaced).c_str());
  float from = at.y + (size.y - trunk) / 2;
  for (std::size_t i = 0; i < streams.size(); ++i) {
    const float thick = std::max(1.0f, trunk * static_cast<float>(streams[i].flow / oil.displaced));
    const float y = at.y + row * (static_cast<float>(i) + 0.5f);
    draw_band(draw, {left, from + thick / 2}, {right, y}, thick, std::min(thick, 0.86f * row), streams[i].colour);
    from += thick;
    ImGui::SetCursorScreenPos({right + 0.5f * em(), y - 0.5f * em()});
    one_line(number(streams[i].flow) + "  " + streams[i].name, at.x + size.x - right - 0.6f * em());
  }
  ImGui::SetCursorScreenPos({at.x, at.y + size.y + ImGui::GetStyle().ItemSpacing.y});
  ImGui::Dummy({0, 0});
}

}  // namespace railseep::gui
