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

}  // namespace railseep::gui
