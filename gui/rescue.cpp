#include "rescue.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cstdlib>

#include "quantity/json_fields.hpp"

namespace railseep::gui {

namespace fs = std::filesystem;

namespace {

std::atomic<App*> guarded = nullptr;

void at_exit() {
  if (App* app = guarded.exchange(nullptr)) rescue_job(*app);
}

/// Beside each copy: locked while the window it belongs to lives, and in it where the job was read from.
fs::path lock_of(const fs::path& copy) { return fs::path(copy).replace_extension(".lock"); }

/// @return -1 while another window holds it
int take_lock(const fs::path& file) {
  const int lock = open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
  if (lock >= 0 && flock(lock, LOCK_EX | LOCK_NB) == 0) return lock;
  if (lock >= 0) close(lock);
  return -1;
}

/// A place for this window's copy that no other window uses or left one in.
void find_place(App& app) {
  const fs::path folder = rescue_folder(app);
  if (!app.rescue.file.empty() || folder.empty()) return;
  fs::create_directories(folder);
  std::error_code none;
  constexpr int most = 1000;
  for (int i = 1; i < most; ++i) {
    const fs::path file = folder / ("job-" + std::to_string(i) + ".json");
    const int lock = fs::exists(file, none) ? -1 : take_lock(lock_of(file));
    if (lock < 0) continue;
    app.rescue.file = file, app.rescue.lock = lock;
    return;
  }
}

/// Where the job came from, and which version of that file it was made from.
void write_origin(const App& app) {
  const std::string text = app.document.path + "\n" + app.document.on_disk + "\n";
  if (ftruncate(app.rescue.lock, 0) != 0 ||
      pwrite(app.rescue.lock, text.data(), text.size(), 0) != static_cast<ssize_t>(text.size()))
    throw Error(lock_of(app.rescue.file).string(), "it cannot be written", "check that the disk has room");
}

void write_copy(App& app) {
  find_place(app);
  const std::string text = app.document.text();
  app.rescue.copied = text;
  if (app.rescue.file.empty()) return;  // there is no place for copies
  app.rescue.copied.clear();
  write_text(app.rescue.file.string(), job_text(moved_to(app.document.job, app.rescue.file.parent_path().string())),
             true);
  write_origin(app);
  app.rescue.copied = text;
}

void follow_settings(App& app, double now) {
  if (app.settings == app.settings_kept) return void(app.settings_since = now);
  constexpr double after = 1;  // [s]: not at every step of a drag
  if (now - app.settings_since < after) return app.stage.wake_within(after);
  app.settings_kept = app.settings;
  attempt(app, [&] { write_settings(app.settings_path, app.settings); });
}

void go_on_with(App& app, const fs::path& copy, int lock) {
  attempt(app, [&] {
    Document document = open_document(copy.string());
    const std::string origin = read_text(lock_of(copy).string());
    const std::size_t end = origin.find('\n');
    document.path = origin.substr(0, end);
    document.on_disk = end == std::string::npos ? "" : origin.substr(end + 1, origin.find('\n', end + 1) - end - 1);
    if (document.path.empty())
      document.job.folder.clear();  // it was never saved; its logs are named in full
    else
      document.job = moved_to(document.job, fs::path(document.path).parent_path().string());
    document.saved.clear();
    document.past = {document.job};
    drop_rescue_copy(app);
    take_document(app, std::move(document));
    app.rescue.file = copy, app.rescue.lock = lock, app.rescue.copied = app.document.text();
  });
}

void remove_copy(const fs::path& copy, int lock) {
  std::error_code none;
  fs::remove(copy, none), fs::remove(lock_of(copy), none);
  if (lock >= 0) close(lock);
}

void offer(App& app, const fs::path& copy) {
  const int lock = take_lock(lock_of(copy));
  if (lock < 0) return;
  std::string name = copy.string();
  try {
    name = "\"" + read_job(copy.string()).name + "\"";
  } catch (const Error&) {
    name = copy.string();  // what is wrong with it is told when somebody goes on with it
  }
  Asked asked{"The program was ended last time before " + name + " was saved. Its last state was kept.", {}};
  asked.answers.push_back({"Go on with it", [&app, copy, lock] {
                             unless_unsaved(app, [&app, copy, lock] { go_on_with(app, copy, lock); });
                           }});
  asked.answers.push_back({"Throw it away", [copy, lock] { remove_copy(copy, lock); }});
  asked.answers.push_back({"Ask me next time", [lock] { close(lock); }});
  app.asked.push_back(std::move(asked));
}

}  // namespace

fs::path rescue_folder(const App& app) {
  return app.settings_path.empty() ? app.settings_path : app.settings_path.parent_path() / "rescued";
}

void follow_changes(App& app) {
  const double now = ImGui::GetTime();
  if (app.settings_since > now) app.settings_since = now;  // a new context counts from 0
  follow_settings(app, now);
  RescueCopy& rescue = app.rescue;
  const std::string text = app.document.text();
  if (text == app.document.saved) {
    drop_rescue_copy(app);
    return;
  }
  if (text == rescue.copied) return;
  if (rescue.seen == rescue.copied || rescue.seen.empty() || rescue.since > now) rescue.since = now;
  rescue.seen = text;
  if (now - rescue.since < rescue_after) return app.stage.wake_within(rescue.since + rescue_after - now);
  rescue.since = now;
  // That it cannot be written is told once; it is tried again.
  rescue.refused = rescue.refused ? !rescue_job(app) : !attempt(app, [&] { write_copy(app); });
  if (!rescue.refused) rescue.seen = rescue.copied;
}

bool rescue_job(App& app) {
  try {
    if (!app.document.unsaved()) return false;
    write_copy(app);
    return !app.rescue.file.empty();
  } catch (...) {
    return false;
  }
}

void drop_rescue_copy(App& app) {
  if (!app.rescue.file.empty()) remove_copy(app.rescue.file, app.rescue.lock);
  app.rescue = {};
}

Rescue::Rescue(App& app) {
  static const int registered = std::atexit(at_exit);
  static_cast<void>(registered);
  guarded = &app;
}

Rescue::~Rescue() { guarded = nullptr; }

void offer_rescued_jobs(App& app) {
  const fs::path folder = rescue_folder(app);
  if (folder.empty()) return;
  std::vector<fs::path> copies;
  std::error_code none;
  for (auto at = fs::directory_iterator(folder, none); at != fs::directory_iterator(); at.increment(none))
    if (at->path().extension() == ".json") copies.push_back(at->path());
  std::ranges::sort(copies);
  for (const fs::path& copy : copies) offer(app, copy);
}

}  // namespace railseep::gui
