#include "diagram_layout.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace railseep::gui {

namespace {

constexpr float bar_half = 0.34f, mark_height = 0.95f, drain_length = 1.75f, drain_pitch = 2.9f, pipe_pitch = 1.3f;
// Text of the drawing, two lines of it and the width of a letter, where the drawing is at its smallest.
constexpr float line_height = 0.56f, label_height = 0.3f + 2 * line_height, letter = 0.29f;

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

bool is_drain(const Circuit& circuit, const Link& link) {
  return circuit.nodes[link.to].tank && !circuit.nodes[link.from].tank;
}

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
  for (int i = 0; i < static_cast<int>(circuit.sites.size()); ++i)
    sides[circuit.sites[i].node].top.push_back({1, x(circuit.sites[i].node), -1, i});
  return sides;
}

bool has_site(const Sides& sides) {
  return std::any_of(sides.top.begin(), sides.top.end(), [](const Port& port) { return port.site >= 0; });
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

/// The part of a row that something takes [pitches].
struct Span {
  float low = 1e9f, high = -1e9f;
  void take(float at, float half) { low = std::min(low, at - half), high = std::max(high, at + half); }
  bool meets(const Span& other) const { return low < other.high && other.low < high; }
};

Span bar_span(const DiagramLayout::Bar& bar) {
  Span span;
  span.take(bar.at.x, 0.5f * (bar.high.x - bar.low.x) + 0.3f);
  return span;
}

Span drain_span(const Circuit& circuit, const Sides& sides) {
  Span span;
  for (const Port& port : sides.bottom)
    if (port.link >= 0 && is_drain(circuit, circuit.links[port.link])) span.take(port.x, 0.5f * drain_pitch);
  return span;
}

bool linked(const Circuit& circuit, std::size_t a, std::size_t b) {
  const auto joins = [&](const Link& link) {
    return (link.from == static_cast<int>(a) && link.to == static_cast<int>(b)) ||
           (link.from == static_cast<int>(b) && link.to == static_cast<int>(a));
  };
  return std::any_of(circuit.links.begin(), circuit.links.end(), joins);
}

/// How far below one node another stands at least: clear of what hangs from it, and with room for the symbol of a link
/// between them.
float least_drop(const Circuit& circuit, const std::vector<Sides>& sides, const DiagramLayout& layout,
                 std::size_t upper, std::size_t lower) {
  const float stands = has_site(sides[lower]) ? mark_height + 0.5f : 0.15f;
  float gap = -2 * bar_half;
  if (bar_span(layout.bars[upper]).meets(bar_span(layout.bars[lower]))) gap = 0.4f + stands;
  if (drain_span(circuit, sides[upper]).meets(bar_span(layout.bars[lower]))) gap = drain_length + label_height + stands;
  if (linked(circuit, upper, lower)) gap = std::max(gap, circuit.nodes[lower].tank ? 1.7f : 1.15f + stands);
  return 2 * bar_half + gap;
}

/// Heights of the nodes [pitches], in the order of the file.
void find_heights(const Circuit& circuit, const std::vector<Sides>& sides, DiagramLayout& layout) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
    if (layout.bars[i].drawn || layout.bars[i].source) order.push_back(i);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return circuit.nodes[a].at[1] < circuit.nodes[b].at[1]; });
  for (std::size_t k = 1; k < order.size(); ++k) {
    float height = 0;
    for (std::size_t m = 0; m < k; ++m) {
      const bool same_row = circuit.nodes[order[k]].at[1] - circuit.nodes[order[m]].at[1] < 0.03;
      height = std::max(
          height, layout.bars[order[m]].at.y + (same_row ? 0 : least_drop(circuit, sides, layout, order[m], order[k])));
    }
    layout.bars[order[k]].at.y = height;
  }
}

void place_ports(std::vector<Port>& ports, float middle, float width) {
  const float stretch = ports.empty() ? 1 : width / width_of(ports);
  float at = middle - 0.5f * width;
  for (Port& port : ports) port.x = at + 0.5f * port.pitch * stretch, at += port.pitch * stretch;
}

/// The ports of a side in the order that keeps pipes straight: sites and drains as in the file, each pipe between them
/// where its other end is nearest.
void order_ports(std::vector<Port>& ports, float middle, float width, const auto& stays) {
  const auto pipes = std::stable_partition(ports.begin(), ports.end(), stays);
  std::vector<Port> ordered(ports.begin(), pipes), moving(pipes, ports.end());
  std::stable_sort(moving.begin(), moving.end(), [](const Port& a, const Port& b) { return a.key < b.key; });
  std::size_t first = 0;
  for (const Port& port : moving) {
    float least = 1e9f;
    std::vector<Port> best;
    std::size_t best_at = first;
    for (std::size_t i = first; i <= ordered.size(); ++i) {
      std::vector<Port> tried = ordered;
      tried.insert(tried.begin() + static_cast<std::ptrdiff_t>(i), port);
      place_ports(tried, middle, width);
      const float off = std::abs(tried[i].x - port.key);
      if (off < least - 0.01f) least = off, best = tried, best_at = i;
    }
    ordered = best, first = best_at + 1;
  }
  place_ports(ordered, middle, width);
  ports = ordered;
}

const Port* port_of(const Sides& sides, int link, bool at_end) {
  for (const std::vector<Port>* ports : {&sides.top, &sides.bottom})
    for (const Port& port : *ports)
      if (port.link == link && port.at_end == at_end) return &port;
  return nullptr;
}

/// Orders all ports: first by where the other nodes are, then, from the bottom up, by where the other ports came to be.
void order_all(const Circuit& circuit, std::vector<Sides>& sides, const std::vector<float>& widths, float scale) {
  const auto stays = [&](const Port& port) { return port.site >= 0 || is_drain(circuit, circuit.links[port.link]); };
  const auto order = [&](std::size_t i) {
    for (std::vector<Port>* ports : {&sides[i].top, &sides[i].bottom})
      order_ports(*ports, scale * static_cast<float>(circuit.nodes[i].at[0]), widths[i], stays);
  };
  for (std::size_t i = 0; i < sides.size(); ++i) order(i);
  std::vector<std::size_t> upwards(sides.size());
  std::iota(upwards.begin(), upwards.end(), 0);
  std::stable_sort(upwards.begin(), upwards.end(),
                   [&](std::size_t a, std::size_t b) { return circuit.nodes[a].at[1] > circuit.nodes[b].at[1]; });
  for (const std::size_t i : upwards) {
    for (std::vector<Port>* ports : {&sides[i].top, &sides[i].bottom})
      for (Port& port : *ports)
        if (!stays(port))
          if (const Port* other =
                  port_of(sides[port.at_end ? circuit.links[port.link].from : circuit.links[port.link].to], port.link,
                          !port.at_end))
            port.key = other->x;
    order(i);
  }
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

/// Both ends of a pipe, then the way between them: straight up or down, or over a level between. @param level 0: at the
/// first end, 1: at the second
void add_pipe(DiagramLayout& layout, int link, ImVec2 from, ImVec2 to, bool from_source, float level) {
  DiagramLayout::Pipe pipe{link, {}, {}, {}, false};
  if (from_source)
    pipe.path = {from, {to.x, from.y}, to};
  else if (std::abs(from.x - to.x) < 0.05f)
    pipe.path = {from, to};
  else
    pipe.path = {from, {from.x, from.y + level * (to.y - from.y)}, {to.x, from.y + level * (to.y - from.y)}, to};
  find_symbol(pipe);
  if (from_source) pipe.symbol = {to.x, (from.y + to.y) / 2}, pipe.along = {0, to.y < from.y ? -1.0f : 1.0f};
  layout.pipes.push_back(pipe);
}

/// "pressure regulator" in two lines.
std::vector<std::string> lines_of(const std::string& name) {
  const std::size_t gap = name.rfind(' ');
  if (gap == std::string::npos) return {name};
  return {name.substr(0, gap), name.substr(gap + 1)};
}

bool meets(const DiagramLayout::Label& label, ImVec2 low, ImVec2 high) {
  const ImVec2 middle = label.middle();
  return middle.x - label.size.x / 2 < high.x && low.x < middle.x + label.size.x / 2 &&
         middle.y - label.size.y / 2 < high.y && low.y < middle.y + label.size.y / 2;
}

/// How many things of the drawing lie under a label.
int met(const DiagramLayout& layout, const DiagramLayout::Label& label) {
  int count = 0;
  for (const DiagramLayout::Bar& bar : layout.bars) count += bar.drawn && meets(label, bar.low, bar.high);
  for (const DiagramLayout::Mark& mark : layout.marks)
    count += meets(label, {mark.at.x - 0.5f, mark.at.y - 0.5f}, {mark.at.x + 0.5f, mark.root.y});
  for (const DiagramLayout::Label& other : layout.labels) {
    const ImVec2 middle = other.middle();
    count += meets(label, {middle.x - other.size.x / 2, middle.y - other.size.y / 2},
                   {middle.x + other.size.x / 2, middle.y + other.size.y / 2});
  }
  for (const DiagramLayout::Pipe& pipe : layout.pipes) {
    count += pipe.link != label.link &&
             meets(label, {pipe.symbol.x - 0.7f, pipe.symbol.y - 0.6f}, {pipe.symbol.x + 0.7f, pipe.symbol.y + 0.6f});
    for (std::size_t i = 1; i < pipe.path.size(); ++i) {
      const ImVec2 a = pipe.path[i - 1], b = pipe.path[i];
      count += meets(label, {std::min(a.x, b.x) - 0.12f, std::min(a.y, b.y) - 0.12f},
                     {std::max(a.x, b.x) + 0.12f, std::max(a.y, b.y) + 0.12f});
    }
  }
  return count;
}

/// "high-", "pressure", "pump": as narrow as it gets.
std::vector<std::string> short_lines_of(const std::string& name) {
  std::vector<std::string> lines(1);
  for (const char letter_of_name : name) {
    if (letter_of_name != ' ') lines.back() += letter_of_name;
    if (letter_of_name == ' ' || letter_of_name == '-') lines.emplace_back();
  }
  return lines;
}

/// Tries places for a label and keeps the one with the least under it. @return how much that is
int settle(DiagramLayout::Label& label, const DiagramLayout& layout, bool under) {
  std::size_t longest = 0;
  for (const std::string& line : label.lines) longest = std::max(longest, line.size());
  label.size = {letter * static_cast<float>(longest), line_height * static_cast<float>(label.lines.size())};
  std::vector<ImVec2> places{{0, 0.22f + label.size.y / 2}};
  const float left = -1.1f - label.size.x / 2, right = 0.8f + label.size.x / 2;
  if (!under)
    places = {{left, 0},      {left, -0.7f}, {right, 0},    {right, 0.7f},  {left, 0.7f},
              {right, -0.7f}, {left, 1},     {left, -1.1f}, {right, -1.1f}, {right, 1}};
  int least = 1000;
  ImVec2 best = places.front();
  for (const ImVec2 place : places) {
    label.offset = place;
    if (const int count = met(layout, label); count < least) least = count, best = place;
  }
  label.offset = best;
  return least;
}

/// Names of drains stand under their tanks, those of pumps beside them where it is free.
void add_labels(DiagramLayout& layout, const Circuit& circuit) {
  for (const DiagramLayout::Pipe& pipe : layout.pipes) {
    const Link& link = circuit.links[pipe.link];
    const std::string kind(kind_of(link.element));
    if (!pipe.drain && kind != "pump" && kind != "lube pump") continue;
    DiagramLayout::Label label{pipe.link, lines_of(link.name), pipe.drain ? pipe.path.back() : pipe.symbol, {}, {}};
    DiagramLayout::Label narrow = label;
    narrow.lines = short_lines_of(link.name);
    if (settle(label, layout, pipe.drain) > 0 && !pipe.drain && settle(narrow, layout, false) == 0) label = narrow;
    layout.labels.push_back(label);
  }
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
    if (bar.drawn)
      take(bar.low, 0.2f, 0.2f), take(bar.high, 0.2f, 0.2f);
    else if (bar.source)
      take(bar.at, 1.6f, 1.0f);
  for (const DiagramLayout::Mark& mark : layout.marks)
    take(mark.at, 0.5f, 0.5f), take({mark.at.x, mark.at.y - 2.2f}, 0, 0);  // with room for the sizes of two leaks
  for (const DiagramLayout::Pipe& pipe : layout.pipes)
    for (const ImVec2& at : pipe.path) take(at, 0.6f, pipe.drain ? 0.2f : 0.4f);
  for (const DiagramLayout::Label& label : layout.labels) take(label.middle(), label.size.x / 2, label.size.y / 2);
}

}  // namespace

DiagramLayout lay_out(const Circuit& circuit) {
  std::vector<Sides> sides = collect(circuit);
  std::vector<float> widths;
  for (std::size_t i = 0; i < sides.size(); ++i)
    widths.push_back(std::max({4.0f, 0.9f + letter * static_cast<float>(circuit.nodes[i].name.size()),
                               width_of(sides[i].top), width_of(sides[i].bottom)}));
  const float scale = find_width(circuit, widths);

  for (Sides& side : sides)
    for (std::vector<Port>* ports : {&side.top, &side.bottom})
      for (Port& port : *ports) port.key *= scale;
  order_all(circuit, sides, widths, scale);

  DiagramLayout layout;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    const float x = static_cast<float>(circuit.nodes[i].at[0]) * scale;
    layout.bars.push_back(
        {{x - 0.5f * widths[i], 0}, {x + 0.5f * widths[i], 0}, !circuit.nodes[i].tank, false, {x, 0}});
  }
  for (const Link& link : circuit.links) layout.bars[link.from].source |= circuit.nodes[link.from].tank;
  find_heights(circuit, sides, layout);
  for (DiagramLayout::Bar& bar : layout.bars) bar.low.y = bar.at.y - bar_half, bar.high.y = bar.at.y + bar_half;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    for (const Port& port : sides[i].top)
      if (port.site >= 0)
        layout.marks.push_back(
            {port.site, {port.x, layout.bars[i].low.y}, {port.x, layout.bars[i].low.y - mark_height}});
    for (const Port& port : sides[i].bottom)
      if (is_drain(circuit, circuit.links[port.link >= 0 ? port.link : 0]) && port.link >= 0)
        add_drain(layout, port, layout.bars[i].high.y);
  }
  for (int i = 0; i < static_cast<int>(circuit.links.size()); ++i) {
    const Link& link = circuit.links[i];
    if (is_drain(circuit, link)) continue;
    const ImVec2 to = end_of(sides, layout, link.to, i, true);
    // A source stands to the left of the port it feeds, clear of what hangs there.
    if (circuit.nodes[link.from].tank) layout.bars[link.from].at.x = std::min(layout.bars[link.from].at.x, to.x - 1.6f);
    // The level keeps clear of the sites that stand on the lower of the two.
    ImVec2 from = end_of(sides, layout, link.from, i, false);
    if (std::abs(from.x - to.x) < 0.4f) from.x = to.x;
    const bool falls = from.y < to.y;
    const float level = !has_site(sides[falls ? link.to : link.from]) ? 0.5f : falls ? 0.33f : 0.67f;
    add_pipe(layout, i, from, to, circuit.nodes[link.from].tank, level);
  }
  std::sort(layout.marks.begin(), layout.marks.end(), [](const auto& a, const auto& b) { return a.site < b.site; });
  add_labels(layout, circuit);
  find_extent(layout);
  return layout;
}

}  // namespace railseep::gui
