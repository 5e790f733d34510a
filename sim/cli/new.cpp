#include <unistd.h>

#include <filesystem>
#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/job_choices.hpp"
#include "cli/output.hpp"
#include "log/log_reader.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

struct NewChoices {
  std::string out;
  JobChoices job;
  OutputChoices output;
};

std::string asked(const std::string& question) {
  std::cerr << question << " " << std::flush;
  std::string line;
  std::getline(std::cin, line);
  return line;
}

/// The circuit is the first of the files; on a terminal it is asked for when none is.
void ask_for_circuit(JobChoices& choices) {
  if (!choices.files.empty() && file_kind(data_file(choices.files.front())) == "circuit") return;
  if (!isatty(STDIN_FILENO)) return;
  const std::vector<std::string> circuits = shipped_circuits();
  for (std::size_t i = 0; i < circuits.size(); ++i) std::cerr << "  " << i + 1 << " " << circuits[i] << "\n";
  const std::string answer = asked("Which engine? A number, or a circuit file:");
  const bool number = !answer.empty() && answer.find_first_not_of("0123456789") == std::string::npos;
  const std::size_t at = number ? std::stoul(answer.substr(0, 4)) : 0;
  if (number && (at == 0 || at > circuits.size()))
    throw Error("circuit", "there is no number " + answer, "write one that is listed");
  choices.files.insert(choices.files.begin(), number ? circuits[at - 1] : answer);
}

/// What nobody measured and nobody told, asked for on a terminal.
void ask_for_rest(JobChoices& choices, Job& job) {
  if (!isatty(STDIN_FILENO)) return;
  if (choices.complaint.empty()) job.complaint = asked("What is the complaint?");
  for (JobLog& log : job.logs) {
    if (log.condition.oil_temperature || read_log(data_file(log.file), log.options).find(ChannelKind::oil_temperature))
      continue;
    const std::string answer = asked("How hot was the oil in " + log.file + " (such as 90 degC; empty: not known)?");
    if (!answer.empty())
      log.condition.oil_temperature = read_option(answer, condition_range::oil_temperature, "oil temperature");
  }
}

int run_new(NewChoices choices) {
  ask_for_circuit(choices.job);
  if (choices.job.files.empty() || file_kind(data_file(choices.job.files.front())) != "circuit")
    throw Error(choices.job.files.empty() ? "new" : choices.job.files.front(), "a job needs the circuit of its engine",
                "give it first, such as: railseep new job.json models/valley_v8.json hot.csv");
  Job job = job_of(choices.job, "new");
  ask_for_rest(choices.job, job);
  read_circuit(data_file(job.circuit));
  job = moved_to(job, std::filesystem::path(choices.out).parent_path().string());
  Output out(choices.output, {choices.out});
  out.file("job of " + std::to_string(job.logs.size()) + (job.logs.size() == 1 ? " log" : " logs"), choices.out,
           job_text(job));
  out.text() << "Next: railseep match " << choices.out << "\n";
  return exit_done;
}

}  // namespace

void add_new(CLI::App& program, Run& run) {
  auto choices = std::make_shared<NewChoices>();
  CLI::App* command =
      program.add_subcommand("new", "Write a job file from a circuit, logs, and what is told beside them");
  command->add_option("job", choices->out, "Job file to write; - is standard output")->required();
  command->add_option("files", choices->job.files, "Circuit, then logs; on a terminal a missing circuit is asked for");
  add_told_options(*command, choices->job);
  add_overwrite(*command, choices->output);
  add_quiet(*command, choices->output);
  command->callback([choices, &run] { run = [choices] { return run_new(*choices); }; });
}

}  // namespace railseep
