#pragma once

#include <imgui.h>

#include <optional>
#include <set>
#include <span>
#include <string>
#include <vector>

#include "drive/profile.hpp"
#include "words/shown_units.hpp"

namespace railseep::gui {

/// The time axis that plots share: zoom and cursor of one are those of all.
struct TimeAxis {
  double from = 0, to = 6;        // shown [s]
  double first = 0, last = 6;     // of the data [s]
  std::optional<double> cursor;   // where the pointer is [s]
  std::optional<double> held;     // where the keys have put it [s]
  std::optional<double> pointed;  // set by the plot under the pointer; the cursor of the next frame

  void cover(double begin, double end);  // the data reach from begin to end; keeps the zoom where it can
  void fit() { from = first, to = last, held.reset(); }
  void zoom(double factor, double around);
  void pan(double by);
  void read_at(double time) { held = cursor = time; }
  void next_frame() {
    if (pointed) held.reset();
    cursor = pointed ? pointed : held, pointed.reset();
  }
};

/// One curve, or measured points.
struct Series {
  enum class Look { line, ghost, points };
  std::string name;
  std::span<const double> time, value;  // [s], SI
  ImU32 colour;
  Look look = Look::line;
  double band = 0;  // half width of the interval drawn around it, SI; 0: none
};

struct Level {
  double value;  // SI
  std::string words;
  ImU32 colour;
};

/// What is drawn in one plot. Spans must outlive the call.
struct Picture {
  std::string title;
  Quantity quantity;
  std::vector<Series> series;
  std::vector<Level> levels;
  bool around_zero = false;         // a residual: 0 in the middle
  bool slim = false;                // no buttons
  std::optional<double> most = {};  // the value axis ends here, whatever is drawn [SI]
  bool times = true;                // the numbers of the time axis; off where a linked plot below has them
};

struct PlotState {
  std::set<std::string> hidden;  // names of series
};

/// The keys that every plot answers, for the line that tells them.
inline constexpr std::string_view plot_keys = "+ - Home: zoom    Shift+arrows: move    Ctrl+arrows: read values";

void plot(const char* id, ImVec2 size, const Picture& picture, TimeAxis& axis, PlotState& state,
          const ShownUnits& units);

/// The samples between two times thinned to at most four for each pixel column: first, least, most, last. Keeps every
/// spike.
struct Sample {
  double time, value;
};
std::vector<Sample> thinned(std::span<const double> time, std::span<const double> value, double from, double to,
                            int columns);

/// The points of a signal, to be drawn.
struct Corners {
  std::vector<double> time, value;
};
Corners corners_of(const Profile& signal);

/// Value at a time, straight between samples; empty outside.
std::optional<double> value_at(std::span<const double> time, std::span<const double> value, double t);

/// Round numbers for an axis, about so many between low and high.
std::vector<double> ticks(double low, double high, int about);

/// A tick with just the decimals that its axis needs.
std::string tick_text(double value, const std::vector<double>& all);

/// Series as text: name, time, value with units; one row a sample.
std::string series_csv(const Picture& picture, const ShownUnits& units);

}  // namespace railseep::gui
