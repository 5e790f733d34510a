#include "plot.hpp"

#include <imgui_internal.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "level_words.hpp"
#include "look.hpp"
#include "widgets.hpp"

namespace railseep::gui {

namespace {

/// Where the curves are drawn, and how a time and a value become a place there.
struct Frame {
  ImVec2 low, high;       // corners [pixels]
  double from, to;        // [s]
  double least, most;     // in the shown unit
  double factor, offset;  // shown = SI * factor + offset

  float x(double t) const { return low.x + static_cast<float>((t - from) / (to - from)) * (high.x - low.x); }
  float y_shown(double shown) const {
    const double share = std::clamp((shown - least) / (most - least), -1.0, 2.0);
    return high.y - static_cast<float>(share) * (high.y - low.y);
  }
  float y(double si) const { return y_shown(si * factor + offset); }
  double time(float px) const { return from + (to - from) * (px - low.x) / (high.x - low.x); }
};

bool visible(const PlotState& state, const Series& series) { return !state.hidden.contains(series.name); }

void find_range(Frame& frame, const Picture& picture, const PlotState& state) {
  double least = picture.around_zero ? 0 : 1e300, most = -1e300;
  const auto take = [&](double shown) { least = std::min(least, shown), most = std::max(most, shown); };
  for (const Series& series : picture.series)
    if (visible(state, series))
      for (const double v : series.value)
        take((v - series.band) * frame.factor + frame.offset), take((v + series.band) * frame.factor + frame.offset);
  for (const Level& level : picture.levels) take(level.value * frame.factor + frame.offset);
  if (most < least) least = 0, most = 1;
  if (picture.around_zero)
    most = std::max(std::abs(least), std::abs(most)), least = -most;
  else if (least >= 0 || least > -0.02 * most)
    least = 0;
  if (!(most > least)) most = least + 1;
  if (picture.most) {
    frame.least = frame.offset, frame.most = *picture.most * frame.factor + frame.offset;
    return;
  }
  frame.most = most + 0.06 * (most - least), frame.least = picture.around_zero ? -frame.most : least;
}

/// Numbers and lines of both axes. @param room of the whole plot: left, top, right, bottom
void draw_grid(const char* id, ImDrawList& draw, const Frame& frame, bool times, ImVec4 room) {
  const Palette& p = palette();
  draw.AddRectFilled(frame.low, frame.high, p.ground);
  const int rows = std::max(1, static_cast<int>((frame.high.y - frame.low.y) / (2.2f * em())));
  std::vector<double> values = ticks(frame.least, frame.most, rows);
  if (values.size() < 2) values = ticks(frame.least, frame.most, rows + 2);  // one number is no scale
  for (const double v : values) {
    const float y = frame.y_shown(v);
    draw.AddLine({frame.low.x, y}, {frame.high.x, y}, faded(p.edge, 0.6f));
    const std::string text = tick_text(v, values);
    label(id, text,
          {frame.low.x - ImGui::CalcTextSize(text.c_str()).x - 0.35f * em(),
           std::min(y - 0.5f * em(), frame.high.y - 0.85f * em())},
          p.quiet, room);
  }
  const std::vector<double> seconds =
      ticks(frame.from, frame.to, std::max(2, static_cast<int>((frame.high.x - frame.low.x) / (4 * em()))));
  float free = frame.low.x - 2 * em();
  for (const double t : seconds) {
    const float x = frame.x(t);
    draw.AddLine({x, frame.low.y}, {x, frame.high.y}, faded(p.edge, 0.6f));
    const std::string text = tick_text(t, seconds) + " s";
    const float wide = ImGui::CalcTextSize(text.c_str()).x, left = std::min(x - wide / 2, room.z - wide - 1);
    if (!times || left < free) continue;
    label(id, text, {left, frame.high.y + 0.25f * em()}, p.quiet, room);
    free = left + wide + 0.4f * em();
  }
}

std::vector<Sample> samples_of(const Frame& frame, const Series& series) {
  const int columns = std::clamp(static_cast<int>(frame.high.x - frame.low.x), 1, 2000);
  return thinned(series.time, series.value, frame.from, frame.to, columns);
}

/// Levels that matter, each with its words where no curve runs through them.
void draw_levels(const char* id, ImDrawList& draw, const Frame& frame, const Picture& picture, const PlotState& state) {
  std::vector<DrawnSeries> curves;
  for (const Series& series : picture.series) {
    if (picture.levels.empty() || !visible(state, series)) continue;
    const bool points = series.look == Series::Look::points;
    curves.push_back({{}, !points, (points ? 0.19f : 0.07f) * em()});
    for (const Sample& sample : samples_of(frame, series))
      curves.back().points.emplace_back(frame.x(sample.time), frame.y(sample.value));
  }
  for (const Level& level : picture.levels) {
    const float y = frame.y(level.value);
    draw.AddRectFilled({frame.low.x, y - 0.18f * em()}, {frame.high.x, y + 0.18f * em()}, faded(level.colour, 0.28f));
    draw.AddLine({frame.low.x, y}, {frame.high.x, y}, level.colour, 1.5f);
    const ImVec2 size = ImGui::CalcTextSize(level.words.c_str()),
                 at = place_words(frame.low, frame.high, y, size, curves);
    if (size.x + em() > frame.high.x - frame.low.x || at.y + size.y > frame.high.y) continue;
    label(id, level.words, at, level.colour, {frame.low.x, frame.low.y, frame.high.x, frame.high.y});
  }
}

void draw_series(ImDrawList& draw, const Frame& frame, const Series& series) {
  static thread_local std::vector<ImVec2> points;
  points.clear();
  const std::vector<Sample> samples = samples_of(frame, series);
  for (const Sample& sample : samples) points.emplace_back(frame.x(sample.time), frame.y(sample.value));
  if (series.look == Series::Look::points) {
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (series.band > 0)
        draw.AddLine({points[i].x, frame.y(samples[i].value - series.band)},
                     {points[i].x, frame.y(samples[i].value + series.band)}, faded(series.colour, 0.55f), 1.5f);
      draw.AddCircleFilled(points[i], 0.19f * em(), series.colour, 10);
    }
    return;
  }
  if (series.band > 0)
    for (std::size_t i = 1; i < points.size(); ++i)
      draw.AddQuadFilled({points[i - 1].x, frame.y(samples[i - 1].value + series.band)},
                         {points[i].x, frame.y(samples[i].value + series.band)},
                         {points[i].x, frame.y(samples[i].value - series.band)},
                         {points[i - 1].x, frame.y(samples[i - 1].value - series.band)}, faded(series.colour, 0.18f));
  const bool ghost = series.look == Series::Look::ghost;
  draw.AddPolyline(points.data(), static_cast<int>(points.size()), ghost ? faded(series.colour, 0.75f) : series.colour,
                   0, (ghost ? 0.09f : 0.14f) * em());
}

float legend_width(const Series& series) { return ImGui::CalcTextSize(series.name.c_str()).x + 1.5f * em(); }

/// Where each name of the legend begins: beside the title as far as there is room, then in rows of its own.
struct LegendPlaces {
  std::vector<ImVec2> at;
  std::vector<float> wide;
  int rows = 0;  // below the title
};

/// @param first where the first one may begin. @param right end of the title's row. @param far_right end of further
/// rows
LegendPlaces legend_places(const Picture& picture, ImVec2 first, float right, float left, float far_right) {
  LegendPlaces places;
  ImVec2 at = first;
  for (const Series& series : picture.series) {
    const float wide = std::min(legend_width(series), far_right - left);
    if (at.x + wide > right && (places.rows == 0 || at.x > left))
      ++places.rows, at = {left, at.y + ImGui::GetFrameHeight()}, right = far_right;
    places.at.push_back(at);
    places.wide.push_back(wide);
    at.x += wide + 0.5f * em();
  }
  return places;
}

/// Names of the series; a press hides one or shows it again.
void draw_legend(const char* id, const Picture& picture, PlotState& state, const LegendPlaces& places) {
  for (std::size_t i = 0; i < picture.series.size(); ++i) {
    const Series& series = picture.series[i];
    const float wide = places.wide[i];
    const ImVec2 at = places.at[i];
    const bool shown = visible(state, series);
    ImGui::SetCursorScreenPos(at);
    if (ImGui::InvisibleButton((std::string("##legend") + series.name).c_str(), {wide, ImGui::GetFrameHeight()})) {
      if (shown)
        state.hidden.insert(series.name);
      else
        state.hidden.erase(series.name);
    }
    note_widget(std::string(id) + "/legend/" + series.name);
    ImDrawList& draw = *ImGui::GetWindowDrawList();
    const float y = at.y + 0.5f * ImGui::GetFrameHeight();
    const ImU32 colour = shown ? series.colour : faded(palette().quiet, 0.5f);
    if (series.look == Series::Look::points)
      draw.AddCircleFilled({at.x + 0.55f * em(), y}, 0.22f * em(), colour);
    else
      draw.AddLine({at.x + 0.1f * em(), y}, {at.x + em(), y}, colour, 0.16f * em());
    const std::string name = shortened(series.name, wide - 1.4f * em());
    note_text(name, ImGui::CalcTextSize(name.c_str()).x, wide - 1.3f * em());
    draw.AddText({at.x + 1.3f * em(), y - 0.5f * em()}, shown ? palette().text : palette().quiet, name.c_str());
    if (keyboard_is_here())
      draw.AddRect(at, {at.x + wide, at.y + ImGui::GetFrameHeight()}, palette().measured, 0.2f * em(), 0, 2);
    tooltip((name == series.name ? "" : series.name + "\n") +
            (shown ? "Press to hide this curve" : "Press to show this curve"));
  }
}

bool narrow(ImVec4 area) { return area.z - area.x < 34 * em(); }

float buttons_width(ImVec4 area) {
  const float padding = 2 * ImGui::GetStyle().FramePadding.x;
  if (narrow(area)) return ImGui::CalcTextSize("More").x + padding;
  return 2 * 2.1f * em() + ImGui::CalcTextSize("AllKeep").x + 2 * padding + 0.6f * em();
}

void draw_keep_menu(const Picture& picture, const ShownUnits& units, ImVec4 area) {
  if (button("Copy the numbers (CSV)"))
    ImGui::SetClipboardText(series_csv(picture, units).c_str()), ImGui::CloseCurrentPopup();
  if (button("Save as a picture (PNG)")) stage().wanted_picture = {picture.title, area}, ImGui::CloseCurrentPopup();
}

void draw_zoom_buttons(const std::string& name, TimeAxis& axis) {
  if (button("-##zoom out " + name, 2.1f * em())) axis.zoom(2, (axis.from + axis.to) / 2);
  tooltip("Show more time (or turn the wheel)");
  ImGui::SameLine(0, 0.2f * em());
  if (button("+##zoom in " + name, 2.1f * em())) axis.zoom(0.5, (axis.from + axis.to) / 2);
  tooltip("Show less time (or turn the wheel); drag to move");
  ImGui::SameLine(0, 0.2f * em());
  if (button("All##" + name)) axis.fit();
  tooltip("The whole time (or double click)");
}

/// Zoom and keep; in a narrow plot one button opens them.
void draw_buttons(const char* id, const Picture& picture, TimeAxis& axis, const ShownUnits& units, ImVec4 area) {
  const std::string name(id);
  if (ImGui::BeginPopup("keep")) {
    if (narrow(area)) draw_zoom_buttons(name, axis);
    draw_keep_menu(picture, units, area);
    ImGui::EndPopup();
  }
  if (!narrow(area)) draw_zoom_buttons(name, axis), ImGui::SameLine(0, 0.2f * em());
  if (button((narrow(area) ? "More##" : "Keep##") + name)) ImGui::OpenPopup("keep");
  tooltip("Copy the numbers or save a picture");
}

/// The first plot drawn answers, for the plots of a view share their time.
void follow_keys(TimeAxis& axis) {
  if (!stage().plot_key) return;
  const Stage::PlotKey key = *std::exchange(stage().plot_key, std::nullopt);
  const double middle = axis.cursor.value_or((axis.from + axis.to) / 2), span = axis.to - axis.from;
  switch (key.what) {
    case Stage::PlotKey::What::zoom:
      return axis.zoom(key.number > 0 ? 0.8 : 1.25, std::clamp(middle, axis.from, axis.to));
    case Stage::PlotKey::What::move:
      return axis.pan(0.1 * key.number * span);
    case Stage::PlotKey::What::whole:
      return axis.fit();
    case Stage::PlotKey::What::read:
      return let_keys_lead(), axis.read_at(std::clamp(middle + 0.01 * key.number * span, axis.from, axis.to));
  }
}

void follow_pointer(const char* id, const Frame& frame, TimeAxis& axis) {
  ImGui::SetCursorScreenPos(frame.low);
  ImGui::InvisibleButton("##area", {frame.high.x - frame.low.x, frame.high.y - frame.low.y});
  ImGui::SetItemUsingMouseWheel();  // the page stays
  note_widget(std::string(id) + "/area");
  if (keyboard_is_here()) {
    stage().at_plot = true, stage().help = plot_keys;
    ImGui::GetWindowDrawList()->AddRect({frame.low.x - 2, frame.low.y - 2}, {frame.high.x + 2, frame.high.y + 2},
                                        palette().measured, 0.2f * em(), 0, 2);
  }
  const ImGuiIO& io = ImGui::GetIO();
  if (!pointer_is_here() && !ImGui::IsItemActive()) return;
  const double t = frame.time(io.MousePos.x);
  axis.pointed = std::clamp(t, axis.from, axis.to);
  if (io.MouseWheel != 0) axis.zoom(std::pow(0.8, io.MouseWheel), t);
  if (ImGui::IsItemActive() && io.MouseDelta.x != 0)
    axis.pan(-io.MouseDelta.x * (axis.to - axis.from) / (frame.high.x - frame.low.x));
  if (ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left)) axis.fit();
}

void draw_cursor(ImDrawList& draw, const Frame& frame, const Picture& picture, const PlotState& state,
                 const TimeAxis& axis, const ShownUnits& units) {
  if (!axis.cursor || *axis.cursor < frame.from || *axis.cursor > frame.to) return;
  const float x = frame.x(*axis.cursor);
  draw.AddLine({x, frame.low.y}, {x, frame.high.y}, palette().text, 1);
  float y = frame.low.y + 0.3f * em();
  const auto line = [&](const std::string& text, ImU32 colour) {
    const float wide = ImGui::CalcTextSize(text.c_str()).x;
    const float left = x + wide + 1.2f * em() < frame.high.x ? x + 0.5f * em() : x - wide - 0.9f * em();
    draw.AddRectFilled({left - 0.3f * em(), y - 0.1f * em()}, {left + wide + 0.3f * em(), y + 1.15f * em()},
                       faded(palette().panel, 0.9f));
    draw.AddText({left, y}, colour, text.c_str());
    y += 1.25f * em();
  };
  line(plain_number(*axis.cursor, 3) + " s", palette().quiet);
  for (const Series& series : picture.series)
    if (const auto v = value_at(series.time, series.value, *axis.cursor); v && visible(state, series)) {
      draw.AddCircleFilled({x, frame.y(*v)}, 0.22f * em(), series.colour);
      line(units.text(*v, picture.quantity, {}, 4), series.colour);
    }
}

}  // namespace

void plot(const char* id, ImVec2 size, const Picture& picture, TimeAxis& axis, PlotState& state,
          const ShownUnits& units) {
  ImGui::PushID(id);
  follow_keys(axis);
  const ImVec2 origin = ImGui::GetCursorScreenPos();
  const std::string title = picture.title + " [" + printed_unit(units.unit(picture.quantity)) + "]";
  const ImVec4 area(origin.x, origin.y, origin.x + size.x, origin.y + size.y);
  const float buttons = picture.slim ? 0 : buttons_width(area), right = area.z - buttons - 0.5f * em();
  const LegendPlaces legend = legend_places(
      picture, {std::min(origin.x + ImGui::CalcTextSize(title.c_str()).x, right - 0.5f * em()) + 0.5f * em(), origin.y},
      right, origin.x, area.z);
  const float head = static_cast<float>(1 + legend.rows) * ImGui::GetFrameHeight() + 0.2f * em();
  const double offset = units.number(0, picture.quantity), factor = units.number(1, picture.quantity) - offset;
  Frame frame{{origin.x + 3.4f * em(), origin.y + head},
              {origin.x + size.x - 0.7f * em(), origin.y + size.y - (picture.times ? 1.45f : 0.5f) * em()},
              axis.from,
              axis.to,
              0,
              1,
              factor,
              offset};
  frame.high.y = std::max(frame.high.y, frame.low.y + 2 * em()),
  frame.high.x = std::max(frame.high.x, frame.low.x + 2 * em());
  find_range(frame, picture, state);

  ImGui::AlignTextToFramePadding();
  one_line(title, size.x - buttons - em());
  draw_legend(id, picture, state, legend);
  if (!picture.slim) {
    ImGui::SetCursorScreenPos({origin.x + size.x - buttons, origin.y});
    draw_buttons(id, picture, axis, units, area);
  }

  ImDrawList& draw = *ImGui::GetWindowDrawList();
  draw_grid(id, draw, frame, picture.times, area);
  draw.PushClipRect(frame.low, frame.high, true);
  draw_levels(id, draw, frame, picture, state);
  for (const Series& series : picture.series)
    if (visible(state, series) && series.look != Series::Look::points) draw_series(draw, frame, series);
  for (const Series& series : picture.series)
    if (visible(state, series) && series.look == Series::Look::points) draw_series(draw, frame, series);
  draw_cursor(draw, frame, picture, state, axis, units);
  draw.PopClipRect();
  follow_pointer(id, frame, axis);
  ImGui::SetCursorScreenPos(origin);
  ImGui::Dummy(size);
  ImGui::PopID();
}

}  // namespace railseep::gui
