#include "app.hpp"

#include <algorithm>
#include <utility>

#include "circuit/circuit_file.hpp"
#include "data_files.hpp"
#include "quantity/json_fields.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

constexpr const char* first_circuit = "models/valley_v8.json";
constexpr double said_for = 8;  // what an undo did is told so long [s]

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

/// Those in the folder of the shipped data, by the names in their files.
std::vector<ShippedCircuit> shipped_circuits() {
  std::vector<ShippedCircuit> circuits;
  try {
    const std::filesystem::path folder = std::filesystem::path(data_file(first_circuit)).parent_path();
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
      const std::string file = entry.path().filename().string();
      if (entry.path().extension() != ".json" || file.ends_with(".schema.json")) continue;
      const Json json = read_json(entry.path().string());
      if (json.value("railseep", "") == "circuit") circuits.push_back({"models/" + file, json.value("name", file)});
    }
  } catch (const std::exception&) {
    return circuits;  // another file can still be chosen
  }
  std::ranges::sort(circuits, {}, &ShippedCircuit::name);
  return circuits;
}

/// What was computed from another job or circuit.
void forget_results(App& app) {
  app.matching.stop(app.slow);
  app.matching.result = nullptr;
  app.deciding.stop(app.thinking);
  app.deciding.result = nullptr, app.deciding.of = nullptr;
  app.only_this.stop(app.answering_one);
  app.only_this.answer = nullptr, app.only_this.of = nullptr;
  app.proving.stop(app.comparing);
  app.proving.result = nullptr;
}

}  // namespace

void take_document(App& app, Document document) {
  app.document = std::move(document);
  app.bench = {}, app.answering = {};
  if (load_circuit(app, app.document.job.circuit)) return;
  forget_results(app);
  app.circuit = nullptr;
  app.circuit_file = app.document.job.circuit;
}

namespace {

/// Saves, and goes on with what waited for it. @return whether it was saved
bool save_as(App& app, const std::string& path, bool replace = false) {
  const bool saved = attempt(
      app, [&] { save_document(app.document, path, replace), remember_folder(app, path), remember_job(app, path); });
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

/// The card that shows a part of the job, which may be gone by now.
void show_part(App& app, const Change& change) {
  using Part = Change::Part;
  using What = Card::What;
  const Job& job = app.document.job;
  const auto card = [&](What what, std::size_t count) {
    count > 0 ? show_card(app, {what, std::min(change.index, count - 1)}) : show_card(app, {What::complaint, 0});
  };
  switch (change.part) {
    case Part::nothing:
    case Part::proof:
      return;
    case Part::complaint:
      return card(What::complaint, 1);
    case Part::engine:
      return show_card(app, {What::engine, 0});
    case Part::readings:
      return card(What::reading, job.readings.size());
    case Part::logs:
      return card(What::log, job.logs.size());
    case Part::starts:
      return card(What::start, job.starts.size());
    case Part::findings:
      if (change.index < job.findings.size() && job.findings[change.index].check == repair_word)
        return show_card(app, {What::repair, change.index});
      return card(What::finding, job.findings.size());
    case Part::air:
      return model_in_sight(app, ModelTool::air) ? void() : card(What::air, job.air_tests.size());
  }
}

void say_change(App& app, const char* what, const Change& change) {
  if (change.part == Change::Part::nothing) return;
  app.said = std::string(what) + change.words, app.said_until = ImGui::GetTime() + said_for;
  show_part(app, change);
}

}  // namespace

namespace {

void say_model(App& app, const char* what, bool done) {
  if (!done) return;
  app.said = std::string(what) + "the last change of the model", app.said_until = ImGui::GetTime() + said_for;
}

}  // namespace

// What is tried in the model is no part of the job: its steps are taken back where it is in sight.
void undo_step(App& app) {
  if (model_in_sight(app, ModelTool::oil)) return say_model(app, "Undone: ", undo(app.what_if));
  say_change(app, "Undone: ", undo(app.document));
}

void redo_step(App& app) {
  if (model_in_sight(app, ModelTool::oil)) return say_model(app, "Done again: ", redo(app.what_if));
  say_change(app, "Done again: ", redo(app.document));
}

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
    take_document(app, new_document(first_circuit)), show_card(app, {Card::What::complaint, 0});
  });
}

void start(App& app, const std::string& job) {
  app.shipped_circuits = shipped_circuits();
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
    app.what_if.now = app.what_if.before = nullptr;
    app.what_if.pins.clear(), app.what_if.past.clear(), app.what_if.future.clear();
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
  asked.answers.push_back({"Replace it", [&app] { save_as(app, app.document.path, true); }});
  asked.answers.push_back({"Save under another name", [&app] { ask_for_name(app); }});
  asked.answers.push_back({"Do not save", [&app] { app.after_saving = nullptr; }});
  app.asked.push_back(std::move(asked));
}

void ask_for_name(App& app) {
  app.browser.name = app.document.path.empty() ? file_name_of(app.document.job)
                                               : std::filesystem::path(app.document.path).filename().string();
  app.browser.open("Save the job as", {".json"}, start_folder(app), true,
                   [&app](const std::string& path) { save_as(app, path, true); });
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
                       show_card(app, {Card::What::log, add_log(app.document, path)});
                       app.settings.log_folder = std::filesystem::path(path).parent_path().string();
                     });
                   });
}

void ask_for_log_file(App& app, JobLog& log) {
  const auto index = static_cast<std::size_t>(&log - app.document.job.logs.data());
  app.browser.open("The file of this log", log_endings, log_folder(app), false, [&app, index](const std::string& path) {
    if (index < app.document.job.logs.size())
      attempt(app, [&] { app.document.job.logs[index].file = file_in_job(app.document.job, path); });
  });
}

void take_dropped(App& app) {
  for (const std::string& file : std::exchange(app.dropped, {})) {
    if (has_ending(file, {".json"})) {
      unless_unsaved(app, [&app, file] { open_job(app, file); });
      continue;
    }
    attempt(app, [&] { show_card(app, {Card::What::log, add_log(app.document, file)}); });
  }
}

}  // namespace railseep::gui
