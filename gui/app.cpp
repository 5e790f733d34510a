#include "app.hpp"

#include <algorithm>
#include <utility>

#include "circuit/circuit_file.hpp"
#include "data_files.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

constexpr const char* first_circuit = "models/valley_v8.json";

std::filesystem::path start_folder(const App& app) {
  if (!app.document.job.folder.empty()) return app.document.job.folder;
  return app.settings.last_folder;
}

/// Where the last log came from.
std::filesystem::path log_folder(const App& app) {
  return app.settings.log_folder.empty() ? start_folder(app) : std::filesystem::path(app.settings.log_folder);
}

void remember_folder(App& app, const std::string& path) {
  app.settings.last_folder = std::filesystem::path(path).parent_path().string();
}

/// First in the list of recent jobs.
void remember_job(App& app, const std::string& path) {
  std::vector<std::string>& recent = app.settings.recent_jobs;
  const std::string full = std::filesystem::absolute(path).lexically_normal().string();
  std::erase(recent, full);
  recent.insert(recent.begin(), full);
  if (recent.size() > most_recent_jobs) recent.resize(most_recent_jobs);
}

/// What was computed from another job or circuit.
void forget_results(App& app) {
  app.matching.stop(app.slow);
  app.matching.result = nullptr;
  app.deciding.stop(app.thinking);
  app.deciding.result = nullptr, app.deciding.of = nullptr;
  app.proving.stop(app.comparing);
  app.proving.result = nullptr;
}

}  // namespace

void take_document(App& app, Document document) {
  app.document = std::move(document);
  app.log = 0;
  if (load_circuit(app, app.document.job.circuit)) return;
  forget_results(app);
  app.circuit = nullptr;
  app.circuit_file = app.document.job.circuit;
}

namespace {

/// Saves, and goes on with what waited for it. @return whether it was saved
bool save_as(App& app, const std::string& path) {
  const bool saved =
      attempt(app, [&] { save_document(app.document, path), remember_folder(app, path), remember_job(app, path); });
  const std::function<void()> then = std::exchange(app.after_saving, nullptr);
  if (saved && then) then();
  return saved;
}

/// A file name that says what the job is called.
std::string file_name_of(const Job& job) {
  constexpr std::size_t longest = 80;  // [bytes]
  std::string name = job.name;
  for (char& c : name)
    if (c == '/' || static_cast<unsigned char>(c) < 32) c = ' ';
  if (name.size() > longest) name = name.substr(0, name.rfind(' ', longest));
  return (name.empty() || name.size() > longest ? "job" : name) + ".json";
}

/// The page that shows a part of the job, and the step of the job view. Where a finding or an air test is shown already
/// one stays.
void show_part(App& app, Change::Part part) {
  using Part = Change::Part;
  const std::string_view now = views()[app.view].name;
  const auto step = [&](int wanted) { show_view(app, "Job"), app.step = wanted; };
  switch (part) {
    case Part::nothing:
      return;
    case Part::complaint:
      return step(complaint_step);
    case Part::engine:
      return step(engine_step);
    case Part::readings:
      return now == "Next" ? void() : step(readings_step);
    case Part::logs:
      return now == "Proof" ? void() : step(logs_step);
    case Part::starts:
      return step(readings_step);
    case Part::findings:
      return now == "Next" ? void() : step(findings_step);
    case Part::air:
      return now == "Air" || now == "Next" ? void() : step(findings_step);
    case Part::proof:
      return show_view(app, "Proof");
  }
}

void say_change(App& app, const char* what, const Change& change) {
  if (change.part == Change::Part::nothing) return;
  constexpr double seconds = 8;
  app.said = std::string(what) + change.words, app.said_until = ImGui::GetTime() + seconds;
  show_part(app, change.part);
}

}  // namespace

void undo_step(App& app) { say_change(app, "Undone: ", undo(app.document)); }
void redo_step(App& app) { say_change(app, "Done again: ", redo(app.document)); }

void unless_unsaved(App& app, std::function<void()> then) {
  if (!app.document.unsaved()) return then();
  Asked asked{"\"" + app.document.job.name + "\" has changes that are not saved.", {}};
  asked.answers.push_back({"Save", [&app, then] { app.after_saving = then, save_job(app); }});
  asked.answers.push_back({"Throw away", then});
  asked.answers.push_back({"Stay", [] {}});
  app.asked.push_back(std::move(asked));
}

void new_job(App& app) {
  unless_unsaved(app, [&app] {
    take_document(app, new_document(first_circuit)), show_view(app, "Job"), app.step = complaint_step;
  });
}

void start(App& app, const std::string& job) {
  app.document = new_document(first_circuit);
  load_circuit(app, first_circuit);
  if (!job.empty()) open_job(app, job);
}

bool load_circuit(App& app, const std::string& file) {
  return attempt(app, [&] {
    auto circuit = std::make_shared<const Circuit>(read_circuit(found_file(app.document.job, file)));
    app.circuit = circuit;
    app.circuit_file = file;
    Question& question = app.what_if.question;
    question.oil = circuit->oil;
    question.faults.clear();
    app.what_if.now = app.what_if.before = app.what_if.pinned = nullptr;
    app.what_if.asked.reset();
    app.what_if.place.clear();
    forget_results(app);
  });
}

void open_job(App& app, const std::string& path) {
  attempt(app, [&] {
    Document document = open_document(data_file(path));
    take_document(app, std::move(document));
    remember_folder(app, app.document.path), remember_job(app, app.document.path);
  });
}

void save_job(App& app) {
  if (app.document.path.empty()) return ask_for_name(app);
  bool changed = false;
  if (!attempt(app, [&] { changed = changed_on_disk(app.document); })) return;
  if (!changed) return void(save_as(app, app.document.path));
  Asked asked{app.document.path + " was changed by somebody else since it was read here.", {}};
  asked.answers.push_back({"Replace it", [&app] { save_as(app, app.document.path); }});
  asked.answers.push_back({"Save under another name", [&app] { ask_for_name(app); }});
  asked.answers.push_back({"Do not save", [&app] { app.after_saving = nullptr; }});
  app.asked.push_back(std::move(asked));
}

void ask_for_name(App& app) {
  app.browser.name = app.document.path.empty() ? file_name_of(app.document.job)
                                               : std::filesystem::path(app.document.path).filename().string();
  app.browser.open("Save the job as", {".json"}, start_folder(app), true,
                   [&app](const std::string& path) { save_as(app, path); });
}

void ask_for_job(App& app) {
  app.browser.open("Open a job", {".json"}, start_folder(app), false,
                   [&app](const std::string& path) { unless_unsaved(app, [&app, path] { open_job(app, path); }); });
  app.browser.recent = app.settings.recent_jobs;
}

void ask_for_log(App& app) {
  app.browser.open("Add a log (a table saved as text)", log_endings, log_folder(app), false,
                   [&app](const std::string& path) {
                     attempt(app, [&] {
                       app.log = static_cast<int>(add_log(app.document, path)),
                       app.settings.log_folder = std::filesystem::path(path).parent_path().string();
                     });
                   });
}

void take_dropped(App& app) {
  for (const std::string& file : std::exchange(app.dropped, {})) {
    if (has_ending(file, {".json"})) {
      unless_unsaved(app, [&app, file] { open_job(app, file); });
      continue;
    }
    attempt(app, [&] { app.log = static_cast<int>(add_log(app.document, file)); });
    app.step = logs_step;
    app.view = 0;
  }
}

}  // namespace railseep::gui
