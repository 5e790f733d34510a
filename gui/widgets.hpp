#pragma once

#include <imgui.h>

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "quantity/error.hpp"
#include "words/shown_units.hpp"

struct ImGuiWindow;

namespace railseep::gui {

/// What one frame put on the screen, kept so that tests can find widgets and see whether every text had room.
struct Stage {
  struct PlacedText {
    std::string text;
    float needed, room;  // widths [pixels]
  };
  /// A text within a drawing or a plot.
  struct Label {
    std::string picture, text;
    ImVec4 box, room;  // where it is, and where it may be: left, top, right, bottom
  };
  std::map<std::string, ImVec4, std::less<>> widgets;  // by id: left, top, right, bottom
  std::vector<PlacedText> texts;
  std::vector<Label> labels;
  /// A control that the keyboard can go to.
  struct Stop {
    unsigned id;
    ImGuiWindow* window;
    ImVec4 box;
    std::string name;
  };
  std::vector<Stop> stops;  // in the order drawn
  std::string focused;      // the widget that the keyboard is at
  std::string help;         // what the control under the pointer or the keyboard is for
  bool moving = false;      // something moves by itself: the next frame is wanted soon
  double wake = 1e9;        // the next frame is wanted within this, whatever happens [s]
  void wake_within(double seconds) { wake = seconds < wake ? seconds : wake; }
  /// A number being typed: kept as text until it is one, for it may carry a unit of its own.
  struct TypedNumber {
    unsigned id = 0;  // of the field; 0: none
    std::string text;
    double before = 0;  // what stood there [SI]
    bool bad = false;   // it reads as no such quantity
  } typed;
  std::optional<Error> refused;  // what was typed last and left standing could not be taken
  /// A key for the plots of a view.
  struct PlotKey {
    enum class What { zoom, move, whole, read } what;
    int number = 0;  // 1 or -1: nearer, later; or further, earlier
  };
  std::optional<PlotKey> plot_key;
  bool at_plot = false;  // the keyboard is at one
  struct WantedPicture {
    std::string name;
    ImVec4 area;  // left, top, right, bottom
  };
  std::optional<WantedPicture>
      wanted_picture;  // a part of the screen to be saved; the platform loop does it after the frame

  void begin() {
    widgets.clear(), texts.clear(), labels.clear(), stops.clear(), focused.clear(), help.clear(),
        moving = false, at_plot = false, wake = 1e9;
  }
};

/// The stage of the current context (ImGuiIO::UserData).
Stage& stage();

/// Whether the keyboard has been led to the widget drawn last.
bool keyboard_is_here();

/// Whether the pointer is at the widget drawn last; while the keys lead, a pointer that rests is at none.
bool pointer_is_here();
/// From now on the keys lead, until the pointer moves.
void let_keys_lead();

/// Remembers the widget drawn last under a name.
void note_widget(std::string_view id);
void note_text(std::string_view text, float needed, float room);

/// A text within a drawing or a plot: drawn, and remembered with its place. @param size of the letters, 0: as usual
void label(std::string_view picture, std::string_view text, ImVec2 at, ImU32 colour, ImVec4 room, float size = 0);

void say(std::string_view text);  // wraps
void say_quietly(std::string_view text);
void heading(std::string_view text);
/// Why something could not be done: place, found, expected.
void say_trouble(const Error& error);
/// The beginning that fits, ending in "…" where that is not all.
std::string shortened(std::string_view text, float room);
/// One line; where it does not fit it ends in "…" and the whole text shows on hover.
void one_line(std::string_view text, float room);
/// The end of a path that fits: "…/harbour/boat" for one whose first folders have no room.
std::string end_of_path(std::string_view path, float room);

/// @param label shown; also the id, unless it carries one after ##. @param width 0: as wide as the text needs
bool button(std::string_view label, float width = 0, bool enabled = true, bool chosen = false);
/// Room that a button with this label takes.
float button_width(std::string_view label);
/// The button that comes next stands in the row of the last one where there is room for it.
void same_row(std::string_view label, float gap);
/// Buttons side by side, of which one is chosen. They wrap where the room ends.
bool choice(std::string_view id, const std::vector<std::string>& words, int& chosen);
bool tick(std::string_view label, bool& on);

/// A slider with its words and its number inside; Ctrl+click types a number.
bool slider(std::string_view label, double& si, Quantity quantity, const ShownUnits& units, double least, double most,
            bool logarithmic = false, std::string_view hint = {}, int digits = 3);

/// A number that may be told or left open. @param open what stands there when it is not told. @param usual what it
/// starts from
bool optional_slider(std::string_view label, std::string_view open, std::optional<double>& si, double usual,
                     Quantity quantity, const ShownUnits& units, double least, double most, std::string_view hint = {});

/// A number to type, in the shown unit or with any other of its quantity behind it: "22 bar". What reads as no such
/// quantity leaves the number as it was.
/// @param width 0: all there is. @param blank what stands there instead of the number; empty: the number. @return
/// whether a number was taken, be it the same
bool edit_number(std::string_view id, double& si, Quantity quantity, const ShownUnits& units,
                 std::string_view hint = {}, float width = 0, std::string_view blank = {});

/// A list to choose from, one line high. @param words(value) what stands for it. @param width 0: all there is
template <class T, class Words>
bool combo(const std::string& id, float width, T& value, const std::vector<T>& all, const Words& words) {
  bool changed = false;
  ImGui::SetNextItemWidth(width > 0 ? width : -1);
  if (ImGui::BeginCombo(("##" + id).c_str(), std::string(words(value)).c_str(), ImGuiComboFlags_HeightLarge)) {
    for (const T& one : all) {
      if (ImGui::Selectable(std::string(words(one)).c_str(), one == value) && one != value) value = one, changed = true;
      note_widget(id + "/" + std::string(words(one)));
    }
    ImGui::EndCombo();
  } else {
    note_widget(id);
  }
  return changed;
}

/// A line or a block to type in. @param lines 1: a line
bool edit_text(std::string_view label, std::string& text, int lines = 1);

/// A line to type in that is done with by Enter. @return whether Enter was pressed
bool edit_line(std::string_view id, std::string& text);

/// A probability as a bar with its words.
void draw_share(std::string_view words, double share);

/// A button as wide as there is room, with words that wrap and what they mean below; a bar at its foot for a share.
bool large_button(std::string_view id, std::string_view words, std::string_view meaning, double share);
/// Width of a line of its words [pixels].
float large_button_room();

/// A part of the window with a scroll bar of its own; arrow keys go in and out of it as if it had no border.
/// ImGui::EndChild ends it.
void begin_panel(const char* id, ImVec2 size, bool padded = true, ImGuiWindowFlags more = 0);

void tooltip(std::string_view text);  // for the widget drawn last

}  // namespace railseep::gui
