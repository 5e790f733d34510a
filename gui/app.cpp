#include "app.hpp"

#include "circuit/circuit_file.hpp"
#include "data_files.hpp"

namespace railseep::gui {

namespace {

constexpr const char* first_circuit = "models/valley_v8.json";

std::filesystem::path start_folder(const App& app) {
  if (!app.document.job.folder.empty()) return app.document.job.folder;
  return app.settings.last_folder;
}

void remember_folder(App& app, const std::string& path) { app.settings.last_folder = std::filesystem::path(path).parent_path().string(); }

}  // namespace

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
    app.matching.stop(app.slow);
    app.matching.result = nullptr;
    app.deciding.stop(app.thinking);
    app.deciding.result = nullptr, app.deciding.of = nullptr;
    app.proving.stop(app.comparing);
    app.proving.result = nullptr;
  });
}

void open_job(App& app, const std::string& path) {
  attempt(app, [&] {
    Document document = open_document(data_file(path));
    // The circuit first: a job whose circuit does not load is not taken.
    auto circuit = read_circuit(found_file(document.job, document.job.circuit));
    app.document = std::move(document);
    app.log = 0;
    load_circuit(app, app.document.job.circuit);
    remember_folder(app, app.document.path);
  });
}

void save_job(App& app) {
  if (app.document.path.empty()) return ask_for_name(app);
  attempt(app, [&] { save_document(app.document, app.document.path); });
}

void ask_for_name(App& app) {
  app.browser.name = app.document.path.empty() ? "job.json" : std::filesystem::path(app.document.path).filename().string();
  app.browser.open("Save the job as", ".json", start_folder(app), true, [&app](const std::string& path) {
    attempt(app, [&] { save_document(app.document, path), remember_folder(app, path); });
  });
}

void ask_for_job(App& app) {
  app.browser.open("Open a job", ".json", start_folder(app), false, [&app](const std::string& path) { open_job(app, path); });
}

void ask_for_log(App& app) {
  app.browser.open("Add a log (a table saved as text)", ".csv", start_folder(app), false, [&app](const std::string& path) {
    app.log = static_cast<int>(add_log(app.document, path));
    remember_folder(app, path);
  });
}

void take_dropped(App& app) {
  for (const std::string& file : app.dropped) {
    if (std::filesystem::path(file).extension() == ".json") {
      open_job(app, file);
      continue;
    }
    app.log = static_cast<int>(add_log(app.document, file));
    app.step = logs_step;
    app.view = 0;
  }
  app.dropped.clear();
}

}  // namespace railseep::gui
