#pragma once

#include <imgui.h>

#include <string>
#include <vector>

#include "settings.hpp"

namespace railseep::gui {

/// Colours with a meaning. Series colours are told apart with any common colour blindness (set of Okabe and Ito, 2008,
/// from memory).
struct Palette {
  ImU32 text, quiet, ground, panel, raised, edge, fill, accent, on_accent;  // fill: what a bar covers behind words
  ImU32 computed, previous, pins[4], measured, enable, ceiling, leak, good;
};
const Palette& palette();
const Palette& palette_of(bool dark);

/// Sets the palette and the style of every widget. @param font_size [pixels]
void apply_look(const Settings& settings, float font_size);

/// Size of the text for a window [pixels]: larger windows stand further away or have finer pixels.
/// @param for_class as large as a class reads from 5 m
float font_size_for(const Settings& settings, ImVec2 window, float content_scale, bool for_class = false);

/// Letters within a drawing are at least so high [em]. The class reads a picture 2 m wide from 5 m: its letters are at
/// least 1/200 of that distance, 25 mm, which is 1/80 of the width of the picture. Capitals, 0.63 of the size, are that
/// high at 0.85 of the class's text on a screen of 16:9 or narrower.
inline constexpr float least_letters = 0.74f, least_class_letters = 0.86f;

/// Files that a font may be in; RAILSEEP_FONT in the environment names another one.
std::vector<std::string> font_files();

/// Loads the first of the files that is there; without any the library's built-in font is used. @return whether a file
/// was found
bool load_fonts(ImFontAtlas& atlas, float font_size, const std::vector<std::string>& files = font_files());

/// Half as large again, for the one line that matters most. The usual one where no font file was found.
ImFont* large_font();

/// Oil by its pressure: from blue (none) over pale (at the enable pressure) to orange (far above).
ImU32 pressure_colour(double pressure, double enable_pressure);

/// The one of black and white that reads on a colour.
ImU32 ink_on(ImU32 colour);
ImU32 faded(ImU32 colour, float share);

inline float em() { return ImGui::GetFontSize(); }

}  // namespace railseep::gui
