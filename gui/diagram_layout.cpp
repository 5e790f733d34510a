#include "diagram_layout.hpp"

#include <algorithm>
#include <cmath>

namespace railseep::gui {

namespace {

constexpr float bar_half = 0.34f, mark_height = 0.95f, drain_length = 1.75f, drain_pitch = 2.9f, pipe_pitch = 1.3f;

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

bool has_site(const Sides& sides) {
  return std::any_of(sides.top.begin(), sides.top.end(), [](const Port& port) { return port.site >= 0; });
}

bool has_drain(const Circuit& circuit, const Sides& sides) {
  return std::any_of(sides.bottom.begin(), sides.bottom.end(), [&](const Port& port) { return is_drain(circuit, circuit.links[port.link]); });
}

/// How many pitches the circuit's unit of x must be, so that bars at one height keep clear of one another.
float find_width(const Circuit& circuit, const std::vector<float>& widths) {
  float width = 14;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
    for (std::size_t k = 0; k < i; ++k) {
      const Node &a = circuit.nodes[i], &b = circuit.nodes[k];
      const double dx = std::abs(a.at[0] - b.at[0]);
      if (a.tank || b.tank || std::abs(a.at[1] - b.at[1]) > 0.1 || dx < 0.02) continue;
      width = std::max(width, std::min(40.0f, (0.5f * (widths[i] + widths[k]) + 0.8f) / static_cast<float>(dx)));
    }
  return width;
}

/// Heights of the nodes [pitches]: in the order of the file, with the room between two rows that what hangs and stands there needs.
std::vector<float> find_heights(const Circuit& circuit, const std::vector<Sides>& sides, const std::vector<bool>& drawn) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
    if (drawn[i]) order.push_back(i);
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return circuit.nodes[a].at[1] < circuit.nodes[b].at[1]; });
  std::vector<float> heights(circuit.nodes.size(), 0);
  for (std::size_t k = 1; k < order.size(); ++k) {
    const double y = circuit.nodes[order[k]].at[1];
    float height = heights[order[k - 1]];
    for (std::size_t m = 0; m < k; ++m) {
      const double dy = y - circuit.nodes[order[m]].at[1];
      if (dy < 0.03) continue;  // the same row
      const float hangs = has_drain(circuit, sides[order[m]]) ? drain_length + 0.95f : 1.0f;
      const float stands = has_site(sides[order[k]]) ? mark_height + 0.6f : 0.6f;
      height = std::max(height, heights[order[m]] + hangs + stands);
    }
    heights[order[k]] = height;
  }
  return heights;
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
  for (const DiagramLayout::Mark& mark : layout.marks) take(mark.at, 0.5f, 1.35f);
  for (const DiagramLayout::Pipe& pipe : layout.pipes)
    for (const ImVec2& at : pipe.path) take(at, 0.6f, pipe.drain ? 1.3f : 0.4f);
}

}  // namespace

DiagramLayout lay_out(const Circuit& circuit) {
  std::vector<Sides> sides = collect(circuit);
  std::vector<float> widths;
  for (const Sides& side : sides) widths.push_back(std::max({4.0f, width_of(side.top), width_of(side.bottom)}));
  std::vector<bool> source(circuit.nodes.size()), drawn(circuit.nodes.size());
  for (const Link& link : circuit.links) source[link.from] = source[link.from] || circuit.nodes[link.from].tank;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) drawn[i] = source[i] || !circuit.nodes[i].tank;
  const float scale = find_width(circuit, widths);
  const std::vector<float> heights = find_heights(circuit, sides, drawn);

  DiagramLayout layout;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    const Node& node = circuit.nodes[i];
    const ImVec2 at(static_cast<float>(node.at[0]) * scale, heights[i]);
    const DiagramLayout::Bar bar{{at.x - 0.5f * widths[i], at.y - bar_half}, {at.x + 0.5f * widths[i], at.y + bar_half}, !node.tank, source[i], at};
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
    const ImVec2 to = end_of(sides, layout, link.to, i, true);
    // A source stands to the left of the port it feeds, clear of what hangs there.
    if (circuit.nodes[link.from].tank) layout.bars[link.from].at.x = std::min(layout.bars[link.from].at.x, to.x - 1.6f);
    add_pipe(layout, i, end_of(sides, layout, link.from, i, false), to, circuit.nodes[link.from].tank);
  }
  std::sort(layout.marks.begin(), layout.marks.end(), [](const auto& a, const auto& b) { return a.site < b.site; });
  find_extent(layout);
  return layout;
}

}  // namespace railseep::gui
