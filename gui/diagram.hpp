#pragma once

#include <memory>
#include <string>

#include "diagram_layout.hpp"
#include "what_if.hpp"
#include "words/shown_units.hpp"

namespace railseep::gui {

inline constexpr float least_zoom = 0.5f, most_zoom = 6;

/// The oil diagram: how it is looked at.
struct DiagramState {
  std::shared_ptr<const Circuit> circuit;  // the one the layout belongs to
  DiagramLayout layout;
  float zoom = 1;
  ImVec2 shift{0, 0};   // of the middle [pitches]
  double moved = 0;     // [s] that the flow has been moving, for its dashes
  std::string dragged;  // place whose size follows the pointer
  ImVec2 pressed{0, 0};
  bool only_places = false;  // a press chooses a place and opens no leak
  bool for_class = false;    // its letters are read from 5 m

  bool whole() const { return zoom == 1 && shift.x == 0 && shift.y == 0; }
  void show_whole() { zoom = 1, shift = {0, 0}; }
};

/// The least room in which every name and number of the drawing is written, with its key [pixels].
ImVec2 least_diagram(const std::shared_ptr<const Circuit>& circuit, DiagramState& state);

/// Draws the circuit as it is at what_if.time, and lets places be chosen and their leaks dragged larger and smaller.
void draw_diagram(const char* id, ImVec2 size, const std::shared_ptr<const Circuit>& circuit, DiagramState& state,
                  WhatIf& what_if, const ShownUnits& units, bool motion);

}  // namespace railseep::gui
