#pragma once

#include "app.hpp"

namespace railseep::gui {

/// Where a job is kept when the program ends without having been asked to: beside the settings. Empty when there is no such folder.
std::filesystem::path rescue_file(const App& app);

/// Writes the job there if it has changes that are not saved. Never throws: it is called when all else failed. @return whether it was written
bool rescue_job(const App& app);

/// While it lives, an end of the process that nobody asked for rescues the job (the display went away: its library ends the process).
class Rescue {
 public:
  explicit Rescue(App& app);
  ~Rescue();
  Rescue(const Rescue&) = delete;
  Rescue& operator=(const Rescue&) = delete;
};

/// At the start: tells of a job that was rescued.
void tell_of_rescued_job(App& app);

}  // namespace railseep::gui
