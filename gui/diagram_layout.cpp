#include "diagram_layout.hpp"

#include <algorithm>
#include <cmath>

namespace railseep::gui {

namespace {

constexpr float bar_half = 0.34f, mark_height = 0.95f, drain_length = 2.1f, drain_pitch = 2.9f, pipe_pitch = 1.3f;

/// One thing that sits on the upper or lower side of a bar.
struct Port {
  float pitch;  // room it takes along the bar
  float key;    // it wants to be in the order of these
  int link = -1, site = -1;
  bool at_end = false;  // the bar is the link's second node
  float x = 0;
};

struct Sides {
  std::vector<Port> top, bottom;
};

float width_of(const std::vector<Port>& ports) {
  float sum = 0;
  for (const Port& port : ports) sum += port.pitch;
  return sum;
}

bool is_drain(const Circuit& circuit, const Link& link) { return circuit.nodes[link.to].tank && !circuit.nodes[link.from].tank; }

std::vector<Sides> collect(const Circuit& circuit) {
  std::vector<Sides> sides(circuit.nodes.size());
  const auto x = [&](int node) { return static_cast<float>(circuit.nodes[node].at[0]); };
  const auto y = [&](int node) { return static_cast<float>(circuit.nodes[node].at[1]); };
  for (int i = 0; i < static_cast<int>(circuit.links.size()); ++i) {
    const Link& link = circuit.links[i];
    if (is_drain(circuit, link)) {
      sides[link.from].bottom.push_back({drain_pitch, x(link.from), i, -1, false});
      continue;
    }
    const auto join = [&](int node, int other, bool at_end) {
      if (circuit.nodes[node].tank) return;
      (y(other) < y(node) ? sides[node].top : sides[node].bottom).push_back({pipe_pitch, x(other), i, -1, at_end});
    };
    join(link.from, link.to, false), join(link.to, link.from, true);
  }
  for (int i = 0; i < static_cast<int>(circuit.sites.size()); ++i) sides[circuit.sites[i].node].top.push_back({1, x(circuit.sites[i].node), -1, i});
  for (Sides& side : sides)
    for (std::vector<Port>* ports : {&side.top, &side.bottom})
      std::stable_sort(ports->begin(), ports->end(), [](const Port& a, const Port& b) { return a.key < b.key; });
  return sides;
}

/// How many pitches the circuit's unit square must be, so that bars keep clear of one another.
ImVec2 find_scale(const Circuit& circuit, const std::vector<float>& widths) {
  ImVec2 scale(14, 9);
  const int n = static_cast<int>(circuit.nodes.size());
  for (int i = 0; i < n; ++i)
    for (int k = 0; k < i; ++k) {
      if (circuit.nodes[i].tank || circuit.nodes[k].tank) continue;
      const float dx = static_cast<float>(std::abs(circuit.nodes[i].at[0] - circuit.nodes[k].at[0]));
      const float dy = static_cast<float>(std::abs(circuit.nodes[i].at[1] - circuit.nodes[k].at[1]));
      const float side_by_side = dx > 0.02f ? (0.5f * (widths[i] + widths[k]) + 0.8f) / dx : 1e9f;
      const float one_above = dy > 0.02f ? (mark_height + drain_length + 1.3f) / dy : 1e9f;
      // Bars keep clear in one direction: the one that asks for less.
      if (side_by_side / 1.6f < one_above) scale.x = std::max(scale.x, std::min(side_by_side, 40.0f));
      else scale.y = std::max(scale.y, std::min(one_above, 24.0f));
    }
  return scale;
}

void place_ports(std::vector<Port>& ports, float middle, float width) {
  const float stretch = ports.empty() ? 1 : width / width_of(ports);
  float at = middle - 0.5f * width;
  for (Port& port : ports) port.x = at + 0.5f * port.pitch * stretch, at += port.pitch * stretch;
}

void find_symbol(DiagramLayout::Pipe& pipe) {
  float longest = -1;
  for (std::size_t i = 1; i < pipe.path.size(); ++i) {
    const ImVec2 a = pipe.path[i - 1], b = pipe.path[i];
    const float length = std::abs(b.x - a.x) + std::abs(b.y - a.y);
    if (length <= longest) continue;
    longest = length;
    pipe.symbol = {(a.x + b.x) / 2, (a.y + b.y) / 2};
    pipe.along = length > 0 ? ImVec2((b.x - a.x) / length, (b.y - a.y) / length) : ImVec2(0, -1);
  }
}

void add_drain(DiagramLayout& layout, const Port& port, float y) {
  DiagramLayout::Pipe pipe{port.link, {{port.x, y}, {port.x, y + drain_length}}, {port.x, y + 0.95f}, {0, 1}, true};
  layout.pipes.push_back(pipe);
}

/// Both ends of a pipe, then the way between them: straight up or down, or over a level half way.
void add_pipe(DiagramLayout& layout, int link, ImVec2 from, ImVec2 to, bool from_source) {
  DiagramLayout::Pipe pipe{link, {}, {}, {}, false};
  if (from_source) pipe.path = {from, {to.x, from.y}, to};
  else if (std::abs(from.x - to.x) < 0.05f) pipe.path = {from, to};
  else pipe.path = {from, {from.x, (from.y + to.y) / 2}, {to.x, (from.y + to.y) / 2}, to};
  find_symbol(pipe);
  if (from_source) pipe.symbol = {to.x, (from.y + to.y) / 2}, pipe.along = {0, to.y < from.y ? -1.0f : 1.0f};
  layout.pipes.push_back(pipe);
}

ImVec2 end_of(const std::vector<Sides>& sides, const DiagramLayout& layout, int node, int link, bool at_end) {
  for (const Port& port : sides[node].top)
    if (port.link == link && port.at_end == at_end) return {port.x, layout.bars[node].low.y};
  for (const Port& port : sides[node].bottom)
    if (port.link == link && port.at_end == at_end) return {port.x, layout.bars[node].high.y};
  return layout.bars[node].at;
}

void find_extent(DiagramLayout& layout) {
  layout.low = {1e9f, 1e9f}, layout.high = {-1e9f, -1e9f};
  const auto take = [&](ImVec2 at, float x, float y) {
    layout.low = {std::min(layout.low.x, at.x - x), std::min(layout.low.y, at.y - y)};
    layout.high = {std::max(layout.high.x, at.x + x), std::max(layout.high.y, at.y + y)};
  };
  for (const DiagramLayout::Bar& bar : layout.bars)
    if (bar.drawn) take(bar.low, 0.2f, 0.2f), take(bar.high, 0.2f, 0.2f);
    else if (bar.source) take(bar.at, 1.6f, 1.0f);
  for (const DiagramLayout::Mark& mark : layout.marks) take(mark.at, 0.5f, 0.9f);
  for (const DiagramLayout::Pipe& pipe : layout.pipes)
    for (const ImVec2& at : pipe.path) take(at, 0.6f, pipe.drain ? 1.3f : 0.4f);
}

}  // namespace

DiagramLayout lay_out(const Circuit& circuit) {
  std::vector<Sides> sides = collect(circuit);
  std::vector<float> widths;
  for (const Sides& side : sides) widths.push_back(std::max({4.0f, width_of(side.top), width_of(side.bottom)}));
  const ImVec2 scale = find_scale(circuit, widths);

  DiagramLayout layout;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    const Node& node = circuit.nodes[i];
    const ImVec2 at(static_cast<float>(node.at[0]) * scale.x, static_cast<float>(node.at[1]) * scale.y);
    DiagramLayout::Bar bar{{at.x - 0.5f * widths[i], at.y - bar_half}, {at.x + 0.5f * widths[i], at.y + bar_half}, !node.tank, false, at};
    for (const Link& link : circuit.links) bar.source |= node.tank && link.from == static_cast<int>(i);
    layout.bars.push_back(bar);
    place_ports(sides[i].top, at.x, widths[i]), place_ports(sides[i].bottom, at.x, widths[i]);
  }
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    for (const Port& port : sides[i].top)
      if (port.site >= 0) layout.marks.push_back({port.site, {port.x, layout.bars[i].low.y}, {port.x, layout.bars[i].low.y - mark_height}});
    for (const Port& port : sides[i].bottom)
      if (is_drain(circuit, circuit.links[port.link >= 0 ? port.link : 0]) && port.link >= 0) add_drain(layout, port, layout.bars[i].high.y);
  }
  for (int i = 0; i < static_cast<int>(circuit.links.size()); ++i) {
    const Link& link = circuit.links[i];
    if (is_drain(circuit, link)) continue;
    add_pipe(layout, i, end_of(sides, layout, link.from, i, false), end_of(sides, layout, link.to, i, true), circuit.nodes[link.from].tank);
  }
  std::sort(layout.marks.begin(), layout.marks.end(), [](const auto& a, const auto& b) { return a.site < b.site; });
  find_extent(layout);
  return layout;
}

}  // namespace railseep::gui
