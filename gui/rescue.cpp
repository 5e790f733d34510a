#include "rescue.hpp"

#include <atomic>
#include <cstdlib>

#include "data_files.hpp"
#include "quantity/json_fields.hpp"

namespace railseep::gui {

namespace {

std::atomic<App*> guarded = nullptr;

void at_exit() {
  if (const App* app = guarded.exchange(nullptr)) rescue_job(*app);
}

}  // namespace

std::filesystem::path rescue_file(const App& app) { return app.settings_path.empty() ? app.settings_path : app.settings_path.parent_path() / "rescued_job.json"; }

bool rescue_job(const App& app) {
  try {
    const std::filesystem::path wanted = rescue_file(app);
    if (wanted.empty() || !app.document.unsaved()) return false;
    std::filesystem::create_directories(wanted.parent_path());
    const std::filesystem::path file = free_name(wanted);
    write_text(file.string(), job_text(moved_to(app.document.job, file.parent_path().string())), false);
    return true;
  } catch (const std::exception&) {
    return false;
  }
}

Rescue::Rescue(App& app) {
  static const int registered = std::atexit(at_exit);
  static_cast<void>(registered);
  guarded = &app;
}

Rescue::~Rescue() { guarded = nullptr; }

void tell_of_rescued_job(App& app) {
  const std::filesystem::path file = rescue_file(app);
  std::error_code none;
  if (file.empty() || !std::filesystem::exists(file, none)) return;
  app.message = Message{file.string(), "The program was ended last time before the job was saved; it is kept in this file", "Open it and save it under its own name, then remove this file"};
}

}  // namespace railseep::gui
