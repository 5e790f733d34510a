#pragma once

#include "widgets.hpp"

namespace railseep::gui {

/// Ways to go through the controls of a frame. ImGui's arrow keys find the nearest control in a direction and stop
/// where there is none; these know the order in which controls were drawn, so that none is out of reach.
enum class Go { next, previous, up, down, left, right };

/// The control that the keyboard is at, 0 for none.
unsigned keyboard_at();

/// To be called at the end of a frame. @param home the control that "left" leads to where nothing lies to the left
void go(Stage& stage, Go where, std::string_view home);

/// Somebody types, or tweaks a slider by its arrow keys: keys belong to that control.
bool keys_are_taken();

}  // namespace railseep::gui
