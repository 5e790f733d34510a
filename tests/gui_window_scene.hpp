#pragma once

#include <chrono>
#include <thread>

#include "gui_display.hpp"
#include "views.hpp"
#include "window.hpp"

namespace railseep::gui {

/// Frames until the workers are done and widgets have settled.
inline void settle(App& app, Window& window, int least = 6) {
  const auto limit = std::chrono::steady_clock::now() + std::chrono::seconds(180);
  const auto busy = [&] {
    for (const Worker* worker : app.workers())
      if (worker->busy()) return true;
    return false;
  };
  for (int i = 0; (i < least || busy()) && std::chrono::steady_clock::now() < limit; ++i) {
    window.step();
    if (i >= least) std::this_thread::sleep_for(std::chrono::milliseconds(20));  // the workers have the cores
  }
}

}  // namespace railseep::gui
