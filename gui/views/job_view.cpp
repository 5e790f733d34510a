// The job in the order a good technician works, but every step can be reached at any time.
#include <algorithm>
#include <cmath>
#include <filesystem>

#include "data_files.hpp"
#include "job_parts.hpp"
#include "look.hpp"
#include "quantity/json_fields.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

void draw_complaint(App& app) {
  Job& job = app.document.job;
  say_quietly(
      "Ask the driver: only hot, only cold, after sitting, or always? After an oil change or a repair? Did it stall? "
      "How long was it cranked, and what was fitted already?");
  edit_text("Name of the job", job.name);
  edit_text("Complaint, in the driver's words", job.complaint, 6);
  edit_text("Notes", job.about, 4);
}

struct Shipped {
  std::string file, name;
};

/// The circuits that come with the program, by the names in their files.
std::vector<Shipped> shipped_circuits() {
  std::vector<Shipped> circuits;
  try {
    const std::filesystem::path folder = std::filesystem::path(data_file("models/valley_v8.json")).parent_path();
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
      const std::string file = entry.path().filename().string();
      if (entry.path().extension() != ".json" || file.ends_with(".schema.json")) continue;
      const Json json = read_json(entry.path().string());
      if (json.value("railseep", "") == "circuit") circuits.push_back({"models/" + file, json.value("name", file)});
    }
  } catch (const std::exception&) {
    return circuits;  // another file can still be chosen
  }
  std::sort(circuits.begin(), circuits.end(), [](const Shipped& a, const Shipped& b) { return a.name < b.name; });
  return circuits;
}

void say_assumed_engine(const App& app) {
  ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
  say("No engine was chosen yet: " + app.circuit->name + " is assumed.");
  ImGui::PopStyleColor();
}

void draw_engine(App& app) {
  Job& job = app.document.job;
  static const std::vector<Shipped> circuits = shipped_circuits();
  say_quietly("Choose the oil circuit that is built like this engine's.");
  for (const Shipped& shipped : circuits)
    if (button(shipped.name + "##" + shipped.file, 12 * em(), true, job.circuit == shipped.file) &&
        (job.circuit == shipped.file || load_circuit(app, shipped.file)))
      job.circuit = shipped.file, app.document.circuit_chosen = true;
  if (button("Another file ..."))
    app.browser.open("Open a circuit", {".json"}, app.settings.last_folder, false, [&app](const std::string& path) {
      if (load_circuit(app, path)) app.document.job.circuit = path, app.document.circuit_chosen = true;
    });
  if (!app.circuit) return;
  if (!app.document.circuit_chosen) say_assumed_engine(app);
  heading(app.circuit->name);
  say(app.circuit->about);
  say_quietly("Oil normally used: " + app.circuit->oil + ". Injection is allowed above " +
              app.settings.units.text(app.circuit->control.enable_pressure, Quantity::pressure) + ", duty goes up to " +
              app.settings.units.text(app.circuit->control.most_duty, Quantity::ratio) + ".");
}

/// "2 logs, 1 reading": what a match has to go by.
std::string evidence_words(const Job& job) {
  std::string words;
  const auto add = [&](std::size_t count, const char* one, const char* many) {
    if (count > 0) words += (words.empty() ? "" : ", ") + std::to_string(count) + " " + (count == 1 ? one : many);
  };
  add(job.logs.size(), "log", "logs");
  add(job.readings.size(), "reading", "readings");
  add(job.starts.size(), "try to start it", "tries to start it");
  add(job.air_tests.size(), "air test", "air tests");
  add(job.findings.size(), "finding", "findings");
  return words;
}

void draw_explain(App& app) {
  const Job& job = app.document.job;
  if (!has_evidence(job)) {
    say("There is nothing to go by yet. A cold and a hot crank, logged, tell most; readings, tries to start it, "
        "findings and air tests count too.");
    return;
  }
  say("The program now computes what every fault this engine can have would show, and compares it with what is known "
      "(" +
      evidence_words(job) + "). It ranks them, says how sure it is, and what can not be told apart.");
  if (job.logs.empty())
    say_quietly(
        "No log is among it: then the size of a leak is hardly known. One logged hot crank would tell much more.");
  else if (job.logs.size() == 1)
    say_quietly(
        "A second log at another oil temperature would tell much more: a hole hardly feels it, worn clearances do.");
  if (app.circuit && !app.document.circuit_chosen) say_assumed_engine(app);
  if (button("Compare with the evidence", 16 * em(), app.circuit != nullptr)) {
    start_match(app.matching, app.document, app.circuit, app.slow);
    show_view(app, "Match");
  }
}

struct Step {
  const char* name;
  void (*draw)(App&);
  bool (*done)(const App&);
};

constexpr Step steps[] = {
    {"Complaint", draw_complaint, [](const App& app) { return !app.document.job.complaint.empty(); }},
    {"First look", draw_readings_step,
     [](const App& app) {
       return !app.document.job.starts.empty() ||
              std::ranges::any_of(app.document.job.readings,
                                  [](const JobReading& reading) { return why_unused(reading).empty(); });
     }},
    {"Engine", draw_engine, [](const App& app) { return app.circuit && app.document.circuit_chosen; }},
    {"Logs", draw_logs_step,
     [](const App& app) { return std::ranges::any_of(app.document.logs, &LogPreview::readable); }},
    {"Explain", draw_explain, [](const App& app) { return app.matching.result != nullptr; }},
    {"Findings", draw_findings_step,
     [](const App& app) { return !app.document.job.findings.empty() || !app.document.job.air_tests.empty(); }},
};
constexpr int step_count = static_cast<int>(std::size(steps));

/// One press for each step, with a full or an empty dot for what is done.
void draw_steps(App& app) {
  const float right = ImGui::GetCursorScreenPos().x + ImGui::GetContentRegionAvail().x;
  for (int i = 0; i < step_count; ++i) {
    const std::string words = std::to_string(i + 1) + "  " + steps[i].name + (steps[i].done(app) ? "  ●" : "");
    const float wide = ImGui::CalcTextSize(words.c_str()).x + 2 * ImGui::GetStyle().FramePadding.x;
    if (i > 0 && ImGui::GetItemRectMax().x + 0.3f * em() + wide <= right) ImGui::SameLine(0, 0.3f * em());
    if (button(words + "##step", 0, true, app.step == i)) app.step = i;
    note_widget(std::string("step/") + steps[i].name);
  }
}

}  // namespace

void draw_job_view(App& app) {
  app.step = std::clamp(app.step, 0, step_count - 1);
  begin_panel("steps", {0, 0});
  draw_steps(app);
  heading(steps[app.step].name);
  steps[app.step].draw(app);
  ImGui::Dummy({0, 0.4f * em()});
  if (app.step > 0) {
    if (button("Back##step")) --app.step;
    ImGui::SameLine();
  }
  if (app.step + 1 < step_count && button("Next: " + std::string(steps[app.step + 1].name) + "###next step"))
    ++app.step;
  ImGui::EndChild();
}

}  // namespace railseep::gui
