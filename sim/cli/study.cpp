#include <algorithm>
#include <filesystem>
#include <iostream>
#include <memory>
#include <sstream>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/output.hpp"
#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"
#include "study/study_figures.hpp"
#include "study/study_report.hpp"

namespace railseep {

namespace {

constexpr std::size_t kept_every = 10;  // jobs; so many are lost at most when a run is interrupted

struct StudyChoices {
  std::string circuit, out, priors = "models/priors.json", deviations = "random";
  std::uint64_t jobs = 500, seed = 1, departures = 0;
  int threads = 0;
  OutputChoices output;
};

/// Outcomes so far, one a line; the first line says what study they belong to.
class Kept {
 public:
  Kept(std::string path, Json study) : path_(std::move(path)), study_(std::move(study)) {}

  /// The outcomes of all whole lines. The job of a torn one is done again, and `torn` counts it. @throws Error when the
  /// folder holds another study
  std::vector<JobOutcome> read(std::size_t& torn) const {
    if (std::error_code trouble; !std::filesystem::exists(path_, trouble)) return {};
    std::istringstream lines(read_bytes(path_, most_log_bytes));
    std::string line;
    std::getline(lines, line);
    if (Json::parse(line, nullptr, false) != study_)
      throw Error(path_, "it belongs to another study", "name another folder, or remove the file");
    std::vector<JobOutcome> outcomes;
    while (std::getline(lines, line)) {
      try {
        outcomes.push_back(outcome_of(Json::parse(line)));
      } catch (const Json::exception&) {
        ++torn;
      }
    }
    return outcomes;
  }

  const std::string& path() const { return path_; }

  void write(const std::vector<JobOutcome>& outcomes) const {
    std::string text = study_.dump() + "\n";
    for (const JobOutcome& outcome : outcomes) text += outcome_json(outcome).dump() + "\n";
    write_text(path_, text, true);
  }

 private:
  std::string path_;
  Json study_;
};

/// A folder that holds files of these names and no outcomes of a study is not ours to write over.
void keep_others(const StudyChoices& choices) {
  namespace fs = std::filesystem;
  std::error_code trouble;
  const fs::path report = fs::path(choices.out) / "report.md";
  if (!fs::exists(fs::path(choices.out) / "outcomes.jsonl", trouble) && fs::exists(report, trouble) &&
      !choices.output.overwrite)
    throw Error(report.string(), "the file exists already, and no outcomes of a study beside it",
                "name another folder, or say --overwrite");
}

int run_study_command(const StudyChoices& choices) {
  Output out(choices.output, {});
  StudyFacts facts;
  facts.circuit = choices.circuit, facts.priors = choices.priors;
  const std::string circuit_file = data_file(choices.circuit), priors_file = data_file(choices.priors);
  facts.circuit_print = fingerprint(read_text(circuit_file)), facts.priors_print = fingerprint(read_text(priors_file));
  facts.settings = {choices.jobs, choices.seed, {}, choices.threads};
  if (choices.deviations != "random") facts.settings.deviations = parse_deviations(choices.deviations);
  const Circuit circuit = read_circuit(circuit_file);
  facts.normal_print = fingerprint(circuit_text(circuit));
  const Priors priors = read_priors(priors_file);

  make_folder(choices.out);
  keep_others(choices);
  const Kept kept(choices.out + "/outcomes.jsonl", {{"railseep", "study"},
                                                    {"seed", choices.seed},
                                                    {"deviations", choices.deviations},
                                                    {"circuit", facts.circuit_print},
                                                    {"priors", facts.priors_print}});
  std::size_t torn = 0;
  std::vector<JobOutcome> so_far = kept.read(torn);
  if (torn > 0)
    std::cerr << kept.path() << ": " << torn << (torn == 1 ? " line is" : " lines are")
              << " torn; the jobs on torn lines are done again.\n";
  const std::vector<JobOutcome> outcomes =
      run_study(circuit, priors, facts.settings, so_far, [&](std::size_t done, const JobOutcome& latest) {
        so_far.push_back(latest);
        if (done % kept_every == 0) kept.write(so_far);
        std::cerr << "\r" << done << " of " << choices.jobs << " jobs" << std::flush;
      });
  std::cerr << "\r" << std::string(40, ' ') << "\r";
  kept.write(outcomes);
  if (choices.departures > 0)
    facts.departures = measure_departures(circuit, priors, facts.settings, choices.departures);
  Json json = result_head("study");
  json["files"] = Json::array();
  for (const ReportFile& file : study_report(facts, outcomes)) {
    const std::string path = choices.out + "/" + file.name;
    write_text(path, file.text, true);
    out.text() << path << "\n";
    json["files"].push_back(path);
  }
  json["figures"] =
      parse_json(figures_text(figures_of(choices.circuit, facts.normal_print, facts.settings, outcomes)), "figures");
  out.json(json);
  return exit_done;
}

}  // namespace

void add_study(CLI::App& program, Run& run) {
  auto choices = std::make_shared<StudyChoices>();
  CLI::App* command = program.add_subcommand(
      "study", "Check by made-up jobs whether the match's probabilities and intervals mean what they say");
  command->add_option("circuit", choices->circuit, "Circuit file, such as models/inline_six.json")->required();
  command
      ->add_option("--out", choices->out,
                   "Folder of this study: report, figures and outcomes; a run that was interrupted goes on there")
      ->required();
  command->add_option("--jobs", choices->jobs, "How many")->capture_default_str();
  command->add_option("--seed", choices->seed, "Of the random numbers: the same seed, the same jobs")
      ->capture_default_str();
  command
      ->add_option("--deviations", choices->deviations,
                   "How the made-up engines depart from the model: random, none, all, or words with + between them, "
                   "such as \"waves+hole law\"")
      ->capture_default_str();
  command
      ->add_option("--departures", choices->departures,
                   "Measure how far each deviation is from the model, on so many jobs")
      ->capture_default_str();
  command->add_option("--priors", choices->priors, "How likely each kind of fault is beforehand")
      ->capture_default_str();
  add_threads(*command, choices->threads, "Threads; 0 takes all. The result does not depend on it");
  add_overwrite(*command, choices->output);
  add_json(*command, choices->output);
  command->callback([choices, &run] { run = [choices] { return run_study_command(*choices); }; });
}

}  // namespace railseep
