#include "reporting.hpp"

#include <spawn.h>
#include <stdlib.h>
#include <sys/wait.h>

#include <chrono>
#include <ctime>
#include <thread>

#include "app.hpp"
#include "data_files.hpp"
#include "job/kept_proof.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/whole_file.hpp"
#include "words/program.hpp"

extern char** environ;

namespace railseep::gui {

namespace fs = std::filesystem;

namespace {

std::string today() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  localtime_r(&now, &parts);
  char text[16];
  std::strftime(text, sizeof text, "%Y-%m-%d", &parts);
  return text;
}

/// All that a report depends on.
std::string basis_of_report(const App& app) {
  const Reporting& reporting = app.reporting;
  const ShownUnits& units = app.settings.units;
  std::string text = job_text(app.document.job) + app.circuit_file + "\n" + reporting.date + "\n";
  for (const std::string& part : {reporting.letterhead.name, reporting.letterhead.address, reporting.letterhead.mark,
                                  reporting.letterhead.currency, units.pressure, units.temperature, units.length})
    text += part + "\n";
  const void* match = report_has_answer(app) ? app.matching.result.get() : nullptr;
  const void* decision = match ? app.deciding.result.get() : nullptr;
  return text + std::to_string(reinterpret_cast<std::uintptr_t>(match)) + " " +
         std::to_string(reinterpret_cast<std::uintptr_t>(decision));
}

/// What a report is made from, with owners for all of it.
struct Made {
  Job job;
  std::shared_ptr<const Circuit> circuit;
  std::shared_ptr<const MatchResult> match;
  std::shared_ptr<const Decision> decision;
  Letterhead letterhead;
  ShownUnits units;
  std::string date;
};

Report make_report(const Made& made) {
  ReportFacts facts;
  facts.job = &made.job;
  facts.circuit = made.circuit.get();
  facts.letterhead = made.letterhead;
  facts.units = made.units;
  facts.date = made.date;
  facts.program = program_and_version;
  const FindFile find = [&](const std::string& file) { return found_file(made.job, file); };
  Evidence evidence;
  Decision decision;
  if (made.match && made.decision) {
    evidence = evidence_of(made.job, find, railseep::Stage::before, engine_hints(*made.circuit));
    facts.evidence = &evidence;
    facts.result = made.match.get();
    decision = *made.decision;
    if (!made.letterhead.currency.empty()) decision.costs.currency = made.letterhead.currency;
    facts.decision = &decision;
  }
  facts.fingerprints = {{"job (its evidence)", evidence_fingerprint(made.job, find)},
                        {made.job.circuit, file_fingerprint(find(made.job.circuit))}};
  for (const JobLog& log : made.job.logs) facts.fingerprints.emplace_back(log.file, file_fingerprint(find(log.file)));
  return job_report(facts);
}

void follow_letterhead(App& app) {
  Reporting& reporting = app.reporting;
  if (!reporting.letterhead_read) {
    reporting.letterhead_read = true;
    attempt(app, [&] { reporting.letterhead = reporting.kept = read_shop(shop_file(app)); });
  }
  if (reporting.letterhead == reporting.kept || ImGui::IsAnyItemActive()) return;
  reporting.kept = reporting.letterhead;  // tried once
  if (const fs::path file = shop_file(app); !file.empty()) attempt(app, [&] { write_shop(file, reporting.kept); });
}

/// A name for the file of the report.
std::string report_name(const App& app, const char* ending) {
  const fs::path job = app.document.path;
  return (job.empty() ? "report" : job.stem().string() + " report") + ending;
}

fs::path report_folder(const App& app) {
  return app.document.job.folder.empty() ? fs::path(app.settings.last_folder) : fs::path(app.document.job.folder);
}

/// A folder that nobody else looks into.
fs::path folder_for_viewing() {
  std::string name = (fs::temp_directory_path() / "railseep-XXXXXX").string();
  if (!mkdtemp(name.data())) throw Error(name, "this folder cannot be made", "check that the disk has room");
  return name;
}

/// Starts the system's viewer. @throws Error when there is none, or it says that it failed
void start_viewer(const std::string& file) {
  std::string program = "xdg-open", argument = file;
  char* const words[] = {program.data(), argument.data(), nullptr};
  pid_t child = 0;
  if (posix_spawnp(&child, program.c_str(), nullptr, nullptr, words, environ) != 0)
    throw Error(file, "no viewer was found to open it", "open and print it by hand, or install xdg-utils");
  // Most return at once; one that stays is the viewer itself.
  constexpr int tries = 100;
  for (int i = 0; i < tries; ++i) {
    int status = 0;
    if (waitpid(child, &status, WNOHANG) == child) {
      if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return;
      throw Error(file, "the system's viewer could not open it", "open and print it by hand");
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  std::thread([child] { waitpid(child, nullptr, 0); }).detach();
}

void save_report(App& app, const char* title, const char* ending, std::string (*text)(const Report&)) {
  app.browser.name = report_name(app, ending);
  app.browser.open(title, {ending}, report_folder(app), true, [&app, text](const std::string& path) {
    attempt(app, [&] {
      if (!app.reporting.report) return;
      write_text(path, text(*app.reporting.report), true);
      app.reporting.said = "Saved: " + path;
    });
  });
}

}  // namespace

fs::path shop_file(const App& app) {
  return app.settings_path.empty() ? app.settings_path : app.settings_path.parent_path() / "shop.json";
}

bool report_has_answer(const App& app) {
  const bool matched = app.matching.result && !answer_is_old(app);
  return matched && app.deciding.result && app.deciding.of == app.matching.result;
}

void follow_report(App& app) {
  Reporting& reporting = app.reporting;
  follow_letterhead(app);
  if (!reporting.date_told) {
    reporting.date_told = true;
    reporting.date = today();
  }
  if (!app.circuit || reporting.running()) return;
  const std::string basis = basis_of_report(app);
  if (basis == reporting.of) return;
  reporting.of = basis;
  const bool answered = report_has_answer(app);
  Made made{app.document.job,
            app.circuit,
            answered ? app.matching.result : nullptr,
            answered ? app.deciding.result : nullptr,
            reporting.letterhead,
            app.settings.units,
            reporting.date};
  reporting.begin(
      app.writing,
      [made = std::move(made)](Progress&, const Worker::Cancelled&) {
        return std::make_shared<const Report>(make_report(made));
      },
      [&reporting](const std::shared_ptr<const Report>& report) { reporting.report = report; });
}

void save_report_page(App& app) { save_report(app, "Save the report as a web page", ".html", report_html); }
void save_report_sheet(App& app) { save_report(app, "Save the report as a PDF", ".pdf", report_pdf); }

void view_report(App& app) {
  Reporting& reporting = app.reporting;
  if (!reporting.report) return;
  reporting.viewing.begin(
      app.showing,
      [report = reporting.report, name = report_name(app, ".pdf")](Progress&, const Worker::Cancelled&) {
        const std::string file = folder_for_viewing() / name;
        write_text(file, report_pdf(*report), false);
        start_viewer(file);
        return file;
      },
      [&reporting](const std::string& file) { reporting.said = "Opened for printing: " + file; });
}

}  // namespace railseep::gui
