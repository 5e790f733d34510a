#pragma once

#include <cstddef>
#include <mutex>
#include <string>
#include <string_view>

#include "worker.hpp"

namespace railseep::gui {

/// How far long work is. Shared with the worker.
struct Progress {
  std::mutex guard;
  std::size_t done = 0, all = 0;
  std::string words;  // what it is at

  /// To be called by the work as it goes on. @throws Stopped once it is cancelled
  void tell(std::size_t done_now, std::size_t all_now, std::string words_now, const Worker::Cancelled& cancelled);
};

/// Ends work from inside its progress call.
struct Stopped {};

/// A bar, a button that stops, and what the work is at. @return whether it is to be stopped
bool draw_progress(Progress& progress, std::string_view id, std::string_view before_words = {});

}  // namespace railseep::gui
