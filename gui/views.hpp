#pragma once

#include <span>

#include "app.hpp"

namespace railseep::gui {

/// One page of the window.
struct View {
  const char* name;
  void (*draw)(App& app);
};

/// In the order they are offered. A further view is one file in views/ and one line in views.cpp.
std::span<const View> views();

}  // namespace railseep::gui
