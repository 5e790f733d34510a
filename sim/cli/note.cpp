#include "job/note.hpp"

#include <charconv>
#include <filesystem>
#include <iostream>
#include <memory>

#include "cli/answer.hpp"
#include "cli/commands.hpp"
#include "job/told_outcome.hpp"
#include "quantity/error.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

constexpr std::size_t most_steps = 50;  // that can be taken back

struct NoteChoices {
  AnswerChoices answer;
  std::string job, text, check, oil_temperature;
};

/// A note changes the job where it is kept.
void must_be_a_file(const std::string& job) {
  if (job == "-") throw Error("-", "a note is written into the job's file", "name that file");
}

/// What the job was before each note, beside the job: the last one last.
std::string undo_file(const std::string& job) { return job + ".undo"; }

Json read_steps(const std::string& job) {
  std::error_code none;
  if (!std::filesystem::exists(undo_file(job), none)) return Json::array();
  Json json = read_json(undo_file(job));
  if (!json.is_array()) throw Error(undo_file(job), "this is no list of steps", "remove the file");
  return json;
}

/// The step is on the disk before the job changes: what is killed in between has changed nothing.
void write_noted(const std::string& path, const std::string& before, const Job& job, const std::string& what) {
  const std::string after = job_text(job);
  Json steps = read_steps(path);
  if (steps.size() >= most_steps) steps.erase(steps.begin());
  steps.push_back({{"noted", what}, {"before", before}, {"after", fingerprint(after)}});
  write_text(undo_file(path), steps.dump(1) + "\n", true);
  write_text(path, after, true, fingerprint(before));
}

/// "2" or "2.1": the outcome, and which of its ways when there are several.
std::pair<std::size_t, std::size_t> outcome_number(const std::string& text) {
  std::size_t outcome = 0, way = 0;
  const char* end = text.data() + text.size();
  const auto [rest, trouble] = std::from_chars(text.data(), end, outcome);
  if (trouble != std::errc() || outcome == 0) return {0, 0};
  if (rest == end) return {outcome, 0};
  if (*rest != '.') return {0, 0};
  const auto [last, more_trouble] = std::from_chars(rest + 1, end, way);
  return more_trouble == std::errc() && last == end && way > 0 ? std::pair(outcome, way)
                                                               : std::pair<std::size_t, std::size_t>(0, 0);
}

const RankedCheck& check_told(const Decision& decision, const std::string& id) {
  if (id.empty()) {
    if (!decision.check_first || decision.checks.empty())
      throw Error("note", "no check is next, so that a number tells no outcome",
                  "write what was seen, such as \"left rail front end plug: bad\", or name a check with --check");
    return decision.checks.front();
  }
  for (const RankedCheck& check : decision.checks)
    if (check.check.id == id) return check;
  throw Error("--check", "\"" + id + "\" is not among the checks of this job", "take an id that next --json lists");
}

/// An outcome by its number as `next` lists it.
std::string note_outcome(Job& job, const NoteChoices& choices, std::size_t number, std::size_t way) {
  AnswerChoices asked = choices.answer;
  asked.job.files = {choices.job};
  const Answer found = answer(asked, "note");
  const RankedCheck& ranked = check_told(found.decision, choices.check);
  if (number > ranked.outcomes.size())
    throw Error("note", ranked.check.name + " has " + std::to_string(ranked.outcomes.size()) + " outcomes",
                "write a number that next lists");
  const OutcomeMeaning& outcome = ranked.outcomes[number - 1];
  const std::vector<ToldOutcome> ways = ways_to_tell(found.matched.circuit, found.decision, ranked, outcome);
  if (ways.size() > 1 && (way == 0 || way > ways.size())) {
    std::string list;
    for (std::size_t i = 0; i < ways.size(); ++i)
      list += (i == 0 ? "" : ", ") + std::to_string(number) + "." + std::to_string(i + 1) + " (" + ways[i].way + ")";
    throw Error("note", "\"" + outcome.outcome + "\" can be told in " + std::to_string(ways.size()) + " ways",
                "write one of " + list);
  }
  const ToldOutcome& told = ways[ways.size() == 1 ? 0 : way - 1];
  tell(job, told);
  return ranked.check.name + ": " + outcome.outcome + (told.way.empty() ? "" : ", " + told.way) +
         (told.counts() ? " is evidence now" : " is kept in words. " + told.unused);
}

int run_note(const NoteChoices& choices) {
  Output out(choices.answer.output, {});
  must_be_a_file(choices.job);
  const std::string before = read_text(choices.job);
  Job job = read_job(choices.job);
  const auto [number, way] = outcome_number(choices.text);
  std::string said;
  if (number > 0) {
    said = note_outcome(job, choices, number, way);
  } else {
    const ReadJob read = with_evidence(job);
    std::optional<double> temperature;
    if (!choices.oil_temperature.empty())
      temperature = read_option(choices.oil_temperature, condition_range::oil_temperature, "--oil-temperature");
    said = take_note(job, read.circuit, read.evidence, read_checks(data_file(choices.answer.checks)), choices.text,
                     temperature);
    if (job.logs.size() > read.job.logs.size()) data_file(job_path(job, job.logs.back().file));  // it must be there
  }
  write_noted(choices.job, before, job, choices.text);
  Json json = result_head("note");
  json["job"] = choices.job;
  json["noted"] = said;
  out.json(json);
  out.text() << "Noted: " << said << ". Take it back: railseep undo " << choices.job << "\n";
  return exit_done;
}

int run_undo(const std::string& path, const OutputChoices& choices) {
  Output out(choices, {});
  must_be_a_file(path);
  Json steps = read_steps(path);
  const std::string now = read_text(path);
  // A step whose job was never written: the program was ended in between.
  if (!steps.empty() && steps.back().value("before", "") == now) steps.erase(std::prev(steps.end()));
  if (steps.empty())
    throw Error(path, "nothing is left to take back", "notes are taken back one by one, the last first");
  const Json step = steps.back();
  if (step.value("after", "") != fingerprint(now))
    throw Error(path, "it was changed since the last note", "take the change back by hand; nothing was undone");
  write_text(path, step.value("before", ""), true, fingerprint(now));
  steps.erase(std::prev(steps.end()));
  if (steps.empty())
    std::filesystem::remove(undo_file(path));
  else
    write_text(undo_file(path), steps.dump(1) + "\n", true);
  out.text() << "Taken back: " << step.value("noted", "") << "\n";
  return exit_done;
}

}  // namespace

void add_note(CLI::App& program, Run& run) {
  auto choices = std::make_shared<NoteChoices>();
  CLI::App* command =
      program.add_subcommand("note", "Write down in a job what a check showed; next then goes on from there");
  command->add_option("job", choices->job, "Job file")->required();
  command
      ->add_option("what", choices->text,
                   "\"isolation: 1900 psi\", \"inlet screen: bad, felted over\", \"left rail front end plug: good\", "
                   "\"started: no\", \"after: repaired.csv\"; or the number of an outcome as next lists it")
      ->required();
  command->add_option("--check", choices->check,
                      "Id of the check that the number is an outcome of; otherwise the first");
  command->add_option("--oil-temperature", choices->oil_temperature,
                      "Of the oil when it was read or logged; otherwise that of the hottest log");
  command->add_option("--priors", choices->answer.priors, "How likely each kind of fault is beforehand")
      ->capture_default_str();
  command->add_option("--costs", choices->answer.costs, "What work costs in your shop")->capture_default_str();
  command->add_option("--checks", choices->answer.checks, "Minutes, money and errors of the checks")
      ->capture_default_str();
  add_threads(*command, choices->answer.threads);
  add_output_options(*command, choices->answer.output);
  command->callback([choices, &run] { run = [choices] { return run_note(*choices); }; });
}

void add_undo(CLI::App& program, Run& run) {
  auto path = std::make_shared<std::string>();
  auto output = std::make_shared<OutputChoices>();
  CLI::App* command = program.add_subcommand("undo", "Take back the last note of a job");
  command->add_option("job", *path, "Job file")->required();
  add_quiet(*command, *output);
  command->callback([path, output, &run] { run = [path, output] { return run_undo(*path, *output); }; });
}

}  // namespace railseep
