#pragma once

#include <vector>

#include "app.hpp"

namespace railseep::gui {

/// Where copies of unsaved jobs are kept: beside the settings. Empty when there is no such folder.
std::filesystem::path rescue_folder(const App& app);

/// To be called once a frame: keeps a copy of unsaved work on the disk, written so long after a change at most, and
/// removes it once the job is saved or thrown away. Changed settings are written in the same way. What is not written
/// yet survives no sudden end of the process.
void follow_changes(App& app);
inline constexpr double rescue_after = 2;  // [s]

/// Writes the copy now if there is unsaved work. Never throws: it is called when all else failed. @return whether the
/// work is on the disk
bool rescue_job(App& app);

/// While it lives, an end of the process that nobody asked for rescues the job (the display went away: its library ends
/// the process).
class Rescue {
 public:
  explicit Rescue(App& app);
  ~Rescue();
  Rescue(const Rescue&) = delete;
  Rescue& operator=(const Rescue&) = delete;
};

/// At the start: asks what is to become of each job that a window left behind. Copies of windows that still run are
/// theirs.
void offer_rescued_jobs(App& app);

/// The job was saved, thrown away or is being left: its copy is not needed any more.
void drop_rescue_copy(App& app);

}  // namespace railseep::gui
