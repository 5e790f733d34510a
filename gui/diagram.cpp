#include "diagram.hpp"

#include <imgui_internal.h>

#include <algorithm>
#include <cmath>

#include "look.hpp"
#include "symbols.hpp"
#include "widgets.hpp"

namespace railseep::gui {

namespace {

constexpr float most_stretch = 1.9f;
constexpr float drawing_margin = 0.3f, bar_margin = 0.3f, name_room = 2.75f, source_room = 3;  // [pitches]
constexpr float mark_radius = 0.47f, mark_radius_x = 0.42f;  // [pitches up and down, sideways]
constexpr float number_radius = 0.6f;                        // of a mark, at least [heights of its letters]
constexpr float number_room = 1.9f;                          // [radii of a mark]
constexpr float most_letters_share = 0.75f;                  // of a pitch: lines of a name stay off what is below

float key_height() { return 1.7f * em(); }

float least_letters_of(const DiagramState& state) {
  return (state.for_class ? least_class_letters : least_letters) * em();
}

void lay_out_anew(const std::shared_ptr<const Circuit>& circuit, DiagramState& state) {
  if (state.circuit == circuit) return;
  state.circuit = circuit, state.layout = lay_out(*circuit), state.moved = 0, state.dragged.clear();
  state.show_whole();
}

/// One frame of the diagram.
class Drawing {
 public:
  Drawing(const char* id, ImVec2 origin, ImVec2 size, const Circuit& circuit, DiagramState& state, WhatIf& what_if,
          const ShownUnits& units)
      : id_(id),
        draw_(*ImGui::GetWindowDrawList()),
        origin_(origin),
        size_(size),
        circuit_(circuit),
        state_(state),
        what_if_(what_if),
        units_(units) {
    const DiagramLayout& l = state.layout;
    size_.y -= key_height();
    size.y = size_.y;
    const float fits = std::min(size.x / (l.high.x - l.low.x + 2 * drawing_margin),
                                size.y / (l.high.y - l.low.y + 2 * drawing_margin));
    unit_ = state.zoom * fits;
    // Room at the sides keeps neighbours further apart; symbols keep their shape.
    unit_x_ = unit_ * std::clamp(size.x / ((l.high.x - l.low.x + 2 * drawing_margin) * fits), 1.0f, most_stretch);
    middle_ = {(l.low.x + l.high.x) / 2 + state.shift.x, (l.low.y + l.high.y) / 2 + state.shift.y};
  }

  void draw();
  void answer_pointer();

 private:
  ImVec2 at(ImVec2 p) const {
    return {origin_.x + size_.x / 2 + unit_x_ * (p.x - middle_.x), origin_.y + size_.y / 2 + unit_ * (p.y - middle_.y)};
  }
  double channel(const std::string& name) const;
  double pressure(int node) const;
  ImU32 oil(int node) const { return pressure_colour(pressure(node), circuit_.control.enable_pressure); }
  float letters(float share) const;                                                                 // height [pixels]
  bool text(ImVec2 middle, const std::string& words, ImU32 colour, float share, float room) const;  // false: no room
  void draw_name(const DiagramLayout::Label& name) const;
  void draw_pipe(const DiagramLayout::Pipe& pipe);
  void draw_dashes(const DiagramLayout::Pipe& pipe, double flow) const;
  void draw_bar(int node);
  void draw_source(int node);
  void draw_mark(const DiagramLayout::Mark& mark);
  void draw_size(const Fault& fault, ImVec2 top);
  void draw_key() const;
  bool hit(ImVec2 middle, float reach, const std::string& place, const std::string& words);
  void drag_size();

  const char* id_;
  ImDrawList& draw_;
  ImVec2 origin_, size_;
  const Circuit& circuit_;
  DiagramState& state_;
  WhatIf& what_if_;
  const ShownUnits& units_;
  float unit_ = 1, unit_x_ = 1;  // pixels in a pitch: up and down, sideways
  ImVec2 middle_;
  std::string hovered_, hovered_words_;
  std::vector<ImVec4> sizes_;  // of leaks, written so far
};

double Drawing::channel(const std::string& name) const {
  if (!what_if_.now || !what_if_.now->trace.has(name)) return 0;
  const Trace& trace = what_if_.now->trace;
  return value_at(trace.time, trace.find(name).value, std::clamp(what_if_.time, trace.time.front(), trace.time.back()))
      .value_or(0);
}

double Drawing::pressure(int node) const {
  return circuit_.nodes[node].tank ? circuit_.nodes[node].pressure : channel(circuit_.nodes[node].name + " pressure");
}

/// The largest size wins where the least is larger.
float Drawing::letters(float share) const {
  return std::min(std::max(share * unit_, least_letters_of(state_)), 1.25f * em());
}

bool Drawing::text(ImVec2 middle, const std::string& words, ImU32 colour, float share, float room) const {
  const float size = letters(share);
  const ImVec2 wide = ImGui::GetFont()->CalcTextSizeA(size, 1e9f, 0, words.c_str());
  if (wide.x > room || size > unit_) return false;  // hovering tells it
  label(id_, words, {middle.x - wide.x / 2, middle.y - wide.y / 2}, colour,
        {origin_.x, origin_.y, origin_.x + size_.x, origin_.y + size_.y}, size);
  return true;
}

bool Drawing::hit(ImVec2 middle, float reach, const std::string& place, const std::string& words) {
  stage().widgets.insert_or_assign(std::string(id_) + "/" + place, ImVec4(middle.x - reach / 2, middle.y - reach / 2,
                                                                          middle.x + reach / 2, middle.y + reach / 2));
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const bool inside =
      std::abs(mouse.x - middle.x) < reach && std::abs(mouse.y - middle.y) < reach && ImGui::IsItemHovered();
  if (inside) hovered_ = place, hovered_words_ = words;
  return inside;
}

void Drawing::draw_dashes(const DiagramLayout::Pipe& pipe, double flow) const {
  // A dash moves faster with more flow, but slow leaks still creep visibly: the square root is for the eye.
  const double cm3 = flow * 1e6;
  if (std::abs(cm3) < 0.05) return;
  const double travel = state_.moved * 0.45 * std::sqrt(std::abs(cm3)) * (cm3 > 0 ? 1 : -1);
  const double spacing = 0.8;
  double before = 0;
  for (std::size_t i = 1; i < pipe.path.size(); ++i) {
    const ImVec2 a = pipe.path[i - 1], b = pipe.path[i];
    const double length = std::abs(b.x - a.x) + std::abs(b.y - a.y);
    if (length <= 0) continue;
    const double start = std::fmod(std::fmod(travel - before, spacing) + spacing, spacing);
    for (double s = start; s < length; s += spacing) {
      const auto share = [&](double d) {
        const float k = static_cast<float>(std::min(1.0, d / length));
        return at({a.x + k * (b.x - a.x), a.y + k * (b.y - a.y)});
      };
      draw_.AddLine(share(s), share(s + 0.3), IM_COL32(255, 255, 255, 220), std::max(1.5f, 0.07f * unit_));
    }
    before += length;
  }
}

void Drawing::draw_pipe(const DiagramLayout::Pipe& pipe) {
  const Link& link = circuit_.links[pipe.link];
  const std::string kind(kind_of(link.element));
  const double flow = channel(link.name + " flow");
  const ImU32 colour = oil(circuit_.nodes[link.from].tank && !circuit_.nodes[link.to].tank ? link.from
                           : pipe.drain                                                    ? link.from
                                                                                           : link.to);
  const float thick = std::max(2.5f, (pipe.drain ? 0.16f : 0.24f) * unit_);
  for (std::size_t i = 1; i < pipe.path.size(); ++i)
    draw_.AddLine(at(pipe.path[i - 1]), at(pipe.path[i]), colour, thick);
  for (std::size_t i = 1; i + 1 < pipe.path.size(); ++i) draw_.AddCircleFilled(at(pipe.path[i]), thick / 2, colour, 12);
  const bool sensor = kind == "sensor";
  if (!sensor) draw_dashes(pipe, flow);
  if (pipe.drain && !sensor)
    draw_tank(draw_, at({pipe.path.back().x, pipe.path.back().y + 0.12f}), unit_, palette().quiet);

  const bool wrong = find_fault(what_if_.question, link.name) != nullptr;
  const ImVec2 middle = at(pipe.symbol);
  std::string numbers;
  if (what_if_.now && sensor)
    numbers = "\nshows " + units_.text(channel("shown pressure"), Quantity::pressure, {}, 4);
  else if (what_if_.now)
    numbers = "\npasses " + units_.text(flow, Quantity::volume_flow) + "\npressure before it " +
              units_.text(pressure(link.from), Quantity::pressure, {}, 4);
  const bool inside = hit(middle, 0.62f * unit_, link.name, link.name + " (" + kind + ")" + numbers);
  if (inside || what_if_.place == link.name)
    draw_.AddCircleFilled(middle, 0.85f * unit_, faded(palette().accent, 0.4f), 32);
  draw_symbol(kind, Pen(draw_, middle, pipe.along, unit_, wrong ? palette().leak : palette().text, palette().panel));
}

void Drawing::draw_name(const DiagramLayout::Label& name) const {
  const Link& link = circuit_.links[name.link];
  const ImU32 ink = find_fault(what_if_.question, link.name) ? palette().leak : palette().quiet;
  const bool aside = name.offset.x != 0;  // beside a pump: the layout found it free
  const float line = letters(0.42f) * 1.02f, pitch = aside ? 1e9f : name_room * unit_x_;
  const ImVec2 anchor = at(name.anchor), middle(anchor.x + unit_ * name.offset.x, anchor.y + unit_ * name.offset.y);
  const float top = middle.y - 0.5f * line * static_cast<float>(name.lines.size() - 1);
  for (std::size_t i = 0; i < name.lines.size(); ++i)
    text({middle.x, top + line * static_cast<float>(i)}, name.lines[i], ink, 0.42f, pitch);
}

void Drawing::draw_bar(int node) {
  const DiagramLayout::Bar& bar = state_.layout.bars[node];
  const ImU32 colour = oil(node);
  const ImVec2 low = at(bar.low), high = at(bar.high);
  draw_.AddRectFilled(low, high, colour, 0.3f * unit_);
  draw_.AddRect(low, high, faded(palette().text, 0.5f), 0.3f * unit_);
  const std::string& name = circuit_.nodes[node].name;
  const std::string numbers = units_.text(pressure(node), Quantity::pressure, {}, 3);
  const ImVec2 middle((low.x + high.x) / 2, (low.y + high.y) / 2);
  const float room = high.x - low.x - bar_margin * unit_;
  if (!what_if_.now || !text(middle, name + "   " + numbers, ink_on(colour), 0.48f, room))
    text(middle, name, ink_on(colour), 0.48f, room);
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  if (ImGui::IsItemHovered() && mouse.x > low.x && mouse.x < high.x && mouse.y > low.y && mouse.y < high.y)
    hovered_words_ = name + "\n" + (what_if_.now ? numbers + "\n" : "") + "holds " +
                     units_.text(circuit_.nodes[node].volume, Quantity::volume);
}

void Drawing::draw_source(int node) {
  const ImVec2 middle = at(state_.layout.bars[node].at);
  const Palette& p = palette();
  draw_.AddTriangleFilled({middle.x - 0.35f * unit_, middle.y - 0.4f * unit_},
                          {middle.x - 0.35f * unit_, middle.y + 0.4f * unit_}, {middle.x + 0.4f * unit_, middle.y},
                          p.text);
  text({middle.x - 0.1f * unit_, middle.y + 0.75f * unit_}, circuit_.nodes[node].name, p.quiet, 0.42f,
       source_room * unit_x_);
  hit(middle, 0.5f * unit_, circuit_.nodes[node].name,
      circuit_.nodes[node].name + "\n" + units_.text(pressure(node), Quantity::pressure));
}

void Drawing::draw_mark(const DiagramLayout::Mark& mark) {
  const Site& site = circuit_.sites[mark.site];
  const Palette& p = palette();
  const Fault* fault = find_fault(what_if_.question, site.name);
  const ImVec2 middle = at(mark.at);
  const float radius = std::min(std::max(mark_radius * unit_, number_radius * letters(0.42f)), mark_radius_x * unit_x_);
  draw_.AddLine(at(mark.root), {middle.x, middle.y + radius}, fault ? p.leak : faded(p.quiet, 0.8f),
                std::max(1.5f, 0.07f * unit_));
  const double flow = fault ? channel(leak_name(*fault) + " flow") : 0;
  const bool inside = hit(
      middle, std::max(radius, mark_radius * unit_), site.name,
      std::to_string(mark.site + 1) + "  " + site.name +
          (fault ? "\n" + fault_text(*fault, circuit_).substr(site.name.size() + 2) + "\nloses " +
                       units_.text(flow, Quantity::volume_flow) + (state_.only_places ? "" : "\nDrag up or down: size")
           : state_.only_places ? "\nbehind: " + site.access
                                : "\ntight. Press to open a leak here"));
  const bool chosen = what_if_.place == site.name;
  if (inside || chosen) draw_.AddCircleFilled(middle, radius + 0.14f * unit_, faded(p.accent, 0.8f), 24);
  draw_.AddCircleFilled(middle, radius, fault ? p.leak : p.raised, 24);
  draw_.AddCircle(middle, radius, fault ? p.leak : p.quiet, 24, 1.5f);
  text(middle, std::to_string(mark.site + 1), fault ? ink_on(p.leak) : p.text, 0.42f, number_room * radius);
  if (!fault) return;
  for (int i = 0; i < 3; ++i) {  // drops that fall off, more quickly the more is lost
    const double phase = std::fmod(state_.moved * (0.4 + 0.25 * std::sqrt(std::max(0.0, flow * 1e6))) + i / 3.0, 1.0);
    const float x = middle.x + (0.42f + 0.3f * static_cast<float>(phase)) * unit_,
                y = middle.y + (static_cast<float>(phase * phase) * 0.95f - 0.1f) * unit_;
    if (flow > 5e-8)
      draw_.AddCircleFilled({x, y}, 0.09f * unit_, faded(p.leak, 1 - 0.6f * static_cast<float>(phase)), 10);
  }
  draw_size(*fault, {middle.x, middle.y - radius});
}

/// How large a leak is, over its mark; over the sizes of its neighbours where they are in the way.
void Drawing::draw_size(const Fault& fault, ImVec2 top) {
  const FaultKind& kind = kind_of(fault, circuit_);
  const std::string size = units_.text(fault.severity, kind.quantity, kind.unit, 2);
  const float font = letters(0.5f), pad = 0.25f * font;
  const ImVec2 wide = ImGui::GetFont()->CalcTextSizeA(font, 1e9f, 0, size.c_str());
  ImVec4 box(top.x - wide.x / 2 - pad, top.y - font - 3 * pad, top.x + wide.x / 2 + pad, top.y - pad);
  for (bool moved = true; moved;) {
    moved = false;
    for (const ImVec4& other : sizes_)
      if (box.x < other.z && other.x < box.z && box.y < other.w && other.y < box.w)
        box.w = other.y - 1, box.y = box.w - font - 2 * pad, moved = true;
  }
  sizes_.push_back(box);
  draw_.AddRectFilled({box.x, box.y}, {box.z, box.w}, palette().leak, 4);
  label(id_, size, {box.x + pad, box.y + pad}, ink_on(palette().leak),
        {origin_.x, origin_.y, origin_.x + size_.x, origin_.y + size_.y}, font);
}

/// What the colours mean, in one line below the drawing.
void Drawing::draw_key() const {
  if (!what_if_.now && state_.only_places) return;  // nothing is computed: the colours mean nothing
  const double enable = circuit_.control.enable_pressure;
  const std::string most = units_.text(2 * enable, Quantity::pressure),
                    mark = "mark: injects from " + units_.text(enable, Quantity::pressure);
  const float written = ImGui::CalcTextSize(("0" + most + mark).c_str()).x + 2.7f * em();
  const float wide = std::clamp(size_.x - written, 3 * em(), 9 * em()), high = 0.6f * em();
  ImVec2 at(origin_.x + 0.4f * em(), origin_.y + size_.y + 0.35f * em());
  const auto word = [&](const std::string& words) {
    label(id_, words, at, palette().quiet,
          {origin_.x, origin_.y, origin_.x + size_.x, origin_.y + size_.y + 1.7f * em()});
    at.x += ImGui::CalcTextSize(words.c_str()).x + 0.5f * em();
  };
  word("0");
  const float y = at.y + 0.3f * em();
  for (int i = 0; i < 48; ++i)
    draw_.AddRectFilled({at.x + wide * static_cast<float>(i) / 48, y},
                        {at.x + wide * static_cast<float>(i + 1) / 48 + 0.5f, y + high},
                        pressure_colour(2 * enable * (i + 0.5) / 48, enable));
  draw_.AddLine({at.x + wide / 2, y - 3}, {at.x + wide / 2, y + high + 3}, palette().text, 2);
  at.x += wide + 0.5f * em();
  word(most);
  at.x += 0.5f * em();
  if (written + wide <= size_.x) word(mark);
}

void Drawing::draw() {
  for (const DiagramLayout::Pipe& pipe : state_.layout.pipes) draw_pipe(pipe);
  for (std::size_t i = 0; i < state_.layout.bars.size(); ++i) {
    if (state_.layout.bars[i].drawn)
      draw_bar(static_cast<int>(i));
    else if (state_.layout.bars[i].source)
      draw_source(static_cast<int>(i));
  }
  for (const DiagramLayout::Label& name : state_.layout.labels) draw_name(name);
  // Marks with a leak come last, so that their sizes lie over their neighbours.
  for (const bool wrong : {false, true})
    for (const DiagramLayout::Mark& mark : state_.layout.marks)
      if ((find_fault(what_if_.question, circuit_.sites[mark.site].name) != nullptr) == wrong) draw_mark(mark);
  draw_key();
}

void Drawing::drag_size() {
  Fault* fault = find_fault(what_if_.question, state_.dragged);
  const float dy = ImGui::GetIO().MouseDelta.y;
  if (!fault || dy == 0) return;
  for (const PossibleFault& possible : possible_faults(circuit_)) {
    if (possible.place != fault->place || possible.kind->word != fault->kind || possible.least <= 0) continue;
    // Eight lines of text are the way from the least to the most.
    const double ratio = possible.most / possible.least;
    fault->severity = std::clamp(fault->severity * std::pow(ratio, -dy / (8 * em())), possible.least, possible.most);
  }
}

void Drawing::answer_pointer() {
  const ImGuiIO& io = ImGui::GetIO();
  const bool inside = ImGui::IsItemHovered();
  if (inside && !hovered_words_.empty() && !ImGui::IsItemActive()) ImGui::SetTooltip("%s", hovered_words_.c_str());
  if (inside && io.MouseWheel != 0) {
    // What lies under the pointer stays there.
    const float before = unit_, grown = std::clamp(state_.zoom * std::pow(1.15f, io.MouseWheel), least_zoom, most_zoom);
    const ImVec2 off(io.MousePos.x - origin_.x - size_.x / 2, io.MousePos.y - origin_.y - size_.y / 2);
    const float after = before * grown / state_.zoom, wider = unit_x_ / unit_;
    state_.shift.x += off.x / (before * wider) - off.x / (after * wider),
        state_.shift.y += off.y / before - off.y / after;
    state_.zoom = grown;
  }
  if (ImGui::IsItemActivated()) {
    state_.dragged = hovered_;
    state_.pressed = io.MousePos;
    if (!hovered_.empty()) what_if_.place = hovered_;
    if (!hovered_.empty() && !state_.only_places) open_leak(what_if_, circuit_, hovered_);
  }
  if (ImGui::IsItemActive()) {
    if (!state_.dragged.empty() && !state_.only_places)
      drag_size();
    else
      state_.shift.x -= io.MouseDelta.x / unit_x_, state_.shift.y -= io.MouseDelta.y / unit_;
  }
  if (ImGui::IsItemDeactivated()) state_.dragged.clear();
  if (inside && ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left) && hovered_.empty()) state_.show_whole();
}

}  // namespace

ImVec2 least_diagram(const std::shared_ptr<const Circuit>& circuit, DiagramState& state) {
  lay_out_anew(circuit, state);
  const DiagramLayout& l = state.layout;
  const float letters = least_letters_of(state);
  const auto wide = [&](const std::string& words) {
    return ImGui::GetFont()->CalcTextSizeA(letters, 1e9f, 0, words.c_str()).x;
  };
  // A pitch, up and down, then sideways [pixels].
  const float unit = letters / most_letters_share;
  float unit_x = std::max(unit, wide("00") / (number_room * mark_radius_x));
  for (const DiagramLayout::Label& name : l.labels)
    if (name.offset.x == 0)
      for (const std::string& line : name.lines) unit_x = std::max(unit_x, wide(line) / name_room);
  for (std::size_t i = 0; i < l.bars.size(); ++i) {
    const std::string& name = circuit->nodes[i].name;
    if (l.bars[i].source) unit_x = std::max(unit_x, wide(name) / source_room);
    if (l.bars[i].drawn)
      unit_x = std::max(unit_x, (wide(name) + bar_margin * unit) / (l.bars[i].high.x - l.bars[i].low.x));
  }
  const ImVec2 pitches(l.high.x - l.low.x + 2 * drawing_margin, l.high.y - l.low.y + 2 * drawing_margin);
  const float tall = std::max(unit, unit_x / most_stretch);
  return {std::ceil(unit_x * pitches.x), std::ceil(tall * pitches.y + key_height())};
}

void draw_diagram(const char* id, ImVec2 size, const std::shared_ptr<const Circuit>& circuit, DiagramState& state,
                  WhatIf& what_if, const ShownUnits& units, bool motion) {
  lay_out_anew(circuit, state);
  if (motion) state.moved += ImGui::GetIO().DeltaTime, stage().moving = true;
  const ImVec2 origin = ImGui::GetCursorScreenPos();
  size = {std::max(size.x, 4 * em()), std::max(size.y, 4 * em())};
  ImGui::InvisibleButton(id, size);
  ImGui::SetItemUsingMouseWheel();  // the page stays
  note_widget(id);
  ImGui::PushClipRect(origin, {origin.x + size.x, origin.y + size.y}, true);
  Drawing drawing(id, origin, size, *circuit, state, what_if, units);
  drawing.draw();
  ImGui::PopClipRect();
  drawing.answer_pointer();
}

}  // namespace railseep::gui
