#pragma once

#include <span>
#include <string_view>

#include "app.hpp"

namespace railseep::gui {

/// One page of the window.
struct View {
  const char* name;
  const char* about;  // what one does there
  void (*draw)(App& app);
};

/// In the order they are offered. A further view is one file in views/ and one line in views.cpp.
std::span<const View> views();

/// Goes to the view of this name.
void show_view(App& app, std::string_view name);

/// The model's page with one of its tools.
void show_model(App& app, ModelTool tool);
bool model_in_sight(const App& app, ModelTool tool);
/// The oil side on the whole screen, for the class; or the window again.
void show_for_class(App& app, bool whole_screen);
/// Whether letters are to be read from 5 m.
bool is_for_class(const App& app);
void draw_tool_choice(App& app);
void draw_circuit(App& app);
void draw_air(App& app);

/// Goes to the bench, where this card of the story is unfolded.
void show_card(App& app, const Card& card);

}  // namespace railseep::gui
