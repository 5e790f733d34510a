// The job in the order a good technician works, but every step can be reached at any time.
#include <algorithm>
#include <cmath>
#include <filesystem>

#include "data_files.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

void draw_logs_step(App& app);

namespace {

void draw_complaint(App& app) {
  Job& job = app.document.job;
  say_quietly("Ask the driver: only hot, only cold, after sitting, or always? After an oil change or a repair? Did it stall? How long was it cranked, and what was fitted already?");
  edit_text("Name of the job", job.name);
  edit_text("Complaint, in the driver's words", job.complaint, 6);
  edit_text("Notes", job.about, 4);
}

void draw_reading(App& app, JobReading& reading, int number, int& gone) {
  static constexpr ChannelKind kinds[] = {ChannelKind::rail_pressure, ChannelKind::rail_pressure_volts, ChannelKind::regulator_duty, ChannelKind::engine_speed,
                                          ChannelKind::battery_voltage, ChannelKind::oil_temperature, ChannelKind::base_oil_pressure};
  const auto words = [](ChannelKind kind) {
    std::string text(kind_name(kind));
    std::replace(text.begin(), text.end(), '_', ' ');
    return text;
  };
  ImGui::PushID(number);
  ImGui::SetNextItemWidth(11 * em());
  if (ImGui::BeginCombo("##kind", words(reading.kind).c_str())) {
    for (const ChannelKind kind : kinds)
      if (ImGui::Selectable(words(kind).c_str(), kind == reading.kind) && kind != reading.kind)
        reading.kind = kind, reading.value = kind == ChannelKind::oil_temperature ? 293.15 : 0;
    ImGui::EndCombo();
  }
  ImGui::SameLine();
  const Quantity quantity = kind_quantity(reading.kind);
  const ShownUnits& units = app.settings.units;
  double shown = units.number(reading.value, quantity);
  ImGui::SetNextItemWidth(7 * em());
  const std::string unit = printed_unit(units.unit(quantity));
  if (ImGui::InputDouble("##value", &shown, 0, 0, ("%.6g " + (unit == "%" ? "%%" : unit)).c_str())) reading.value = units.si(shown, quantity);
  note_widget("reading " + std::to_string(number));
  ImGui::SameLine();
  ImGui::SetNextItemWidth(std::max(5 * em(), ImGui::GetContentRegionAvail().x - 2.4f * em()));
  char when[128];
  std::snprintf(when, sizeof when, "%s", reading.when.c_str());
  if (ImGui::InputTextWithHint("##when", "when: hot idle, key on ...", when, sizeof when)) reading.when = when;
  ImGui::SameLine();
  if (button("x##reading", 1.9f * em())) gone = number;
  tooltip("Remove this reading");
  ImGui::PopID();
}

void draw_readings(App& app) {
  Job& job = app.document.job;
  say_quietly("Oil level and smell, battery at rest and while cranking, sensor volts with the key on, base oil pressure while cranking. Nothing below is worth much on a weak battery.");
  int gone = -1;
  for (int i = 0; i < static_cast<int>(job.readings.size()); ++i) draw_reading(app, job.readings[i], i, gone);
  if (gone >= 0) job.readings.erase(job.readings.begin() + gone);
  if (button("Add a reading")) job.readings.push_back({});
  say_quietly("Readings are kept with the job. The match uses the logs.");
}

std::vector<std::string> shipped_circuits() {
  std::vector<std::string> files;
  std::error_code none;
  try {
    const std::filesystem::path folder = std::filesystem::path(data_file("models/valley_v8.json")).parent_path();
    for (const auto& entry : std::filesystem::directory_iterator(folder, none)) {
      const std::string name = entry.path().filename().string();
      if (entry.path().extension() == ".json" && name != "priors.json" && name != "costs.json" && name != "checks.json" && !name.ends_with(".schema.json")) files.push_back("models/" + name);
    }
  } catch (const Error&) {
    return files;
  }
  std::sort(files.begin(), files.end());
  return files;
}

void draw_engine(App& app) {
  Job& job = app.document.job;
  static const std::vector<std::string> files = shipped_circuits();
  say_quietly("Choose the oil circuit that is built like this engine's.");
  for (const std::string& file : files) {
    std::string words = std::filesystem::path(file).stem().string();
    std::replace(words.begin(), words.end(), '_', ' ');
    if (button(words + "##" + file, 12 * em(), true, job.circuit == file) && job.circuit != file && load_circuit(app, file)) job.circuit = file;
  }
  if (button("Another file ..."))
    app.browser.open("Open a circuit", ".json", app.settings.last_folder, false, [&app](const std::string& path) {
      if (load_circuit(app, path)) app.document.job.circuit = path;
    });
  if (!app.circuit) return;
  heading(app.circuit->name);
  say(app.circuit->about);
  say_quietly("Oil normally used: " + app.circuit->oil + ". Injection is allowed above " + app.settings.units.text(app.circuit->control.enable_pressure, Quantity::pressure) +
              ", duty goes up to " + app.settings.units.text(app.circuit->control.most_duty, Quantity::ratio) + ".");
}

void draw_explain(App& app) {
  const std::size_t count = app.document.job.logs.size();
  if (count == 0) {
    say("There is no log yet. A cold and a hot crank together tell most.");
    return;
  }
  say("The program now computes what every fault this engine can have would show, and compares it with " +
      (count == 1 ? std::string("the log.") : "the " + std::to_string(count) + " logs.") + " It ranks them, says how sure it is, and what can not be told apart.");
  if (count == 1) say_quietly("A second log at another oil temperature would tell much more: a hole hardly feels it, worn clearances do.");
  if (button("Compare with the logs", 14 * em())) {
    start_match(app.matching, app.document, app.circuit, app.slow);
    for (int i = 0; i < static_cast<int>(views().size()); ++i)
      if (std::string_view(views()[i].name) == "Match") app.view = i;
  }
}

void draw_findings(App& app) {
  Job& job = app.document.job;
  say_quietly("What was checked or opened, and what it showed. The repair is proved by a hot restart, not by a cold start.");
  int gone = -1;
  for (int i = 0; i < static_cast<int>(job.findings.size()); ++i) {
    ImGui::PushID(i);
    edit_text("Checked##" + std::to_string(i), job.findings[i].check);
    edit_text("Found##" + std::to_string(i), job.findings[i].text, 2);
    if (button("Remove this finding")) gone = i;
    ImGui::Separator();
    ImGui::PopID();
  }
  if (gone >= 0) job.findings.erase(job.findings.begin() + gone);
  if (button("Add a finding")) job.findings.push_back({});
}

struct Step {
  const char* name;
  void (*draw)(App&);
  bool (*done)(const App&);
};

constexpr Step steps[] = {
    {"Complaint", draw_complaint, [](const App& app) { return !app.document.job.complaint.empty(); }},
    {"First look", draw_readings, [](const App& app) { return !app.document.job.readings.empty(); }},
    {"Engine", draw_engine, [](const App& app) { return app.circuit != nullptr; }},
    {"Logs", draw_logs_step, [](const App& app) { return !app.document.job.logs.empty(); }},
    {"Explain", draw_explain, [](const App& app) { return app.matching.result != nullptr; }},
    {"Findings", draw_findings, [](const App& app) { return !app.document.job.findings.empty(); }},
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
  if (app.step + 1 < step_count && button("Next: " + std::string(steps[app.step + 1].name) + "###next step")) ++app.step;
  ImGui::EndChild();
}

}  // namespace railseep::gui
