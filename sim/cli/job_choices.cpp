#include "cli/job_choices.hpp"

#include <algorithm>
#include <filesystem>

#include "cli/commands.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

namespace fs = std::filesystem;

/// The word of an option for one of the logs: one for all, or one each.
std::string told_for(const std::vector<std::string>& told, std::size_t log, std::size_t logs, const char* option) {
  if (told.empty()) return "";
  if (told.size() == 1) return told.front();
  if (told.size() != logs)
    throw Error(option, "it is given " + std::to_string(told.size()) + " times, for " + std::to_string(logs) + " logs",
                "give it once for all logs, or once for each in their order");
  return told[log];
}

std::optional<bool> yes_or_no(const std::string& text, const char* option) {
  if (text.empty()) return std::nullopt;
  if (text != "yes" && text != "no") throw Error(option, "\"" + text + "\" is neither", "write yes or no");
  return text == "yes";
}

/// What is told beside the columns of one log.
JobLog log_of(const JobChoices& choices, const std::string& file, std::size_t index, std::size_t logs) {
  JobLog log;
  log.file = file;
  log.options = choices.logs.options();
  log.condition.name = file == "-" ? "standard input" : fs::path(file).stem().string();
  log.condition.oil = choices.oil;
  const auto told = [&](const std::vector<std::string>& texts, const QuantityRange& range, const char* option) {
    const std::string text = told_for(texts, index, logs, option);
    return text.empty() ? std::nullopt : std::optional(read_option(text, range, option));
  };
  log.condition.oil_temperature = told(choices.oil_temperatures, condition_range::oil_temperature, "--oil-temperature");
  log.condition.speed = told(choices.speeds, condition_range::speed, "--speed");
  log.condition.battery = told(choices.batteries, condition_range::battery, "--battery");
  log.started = yes_or_no(told_for(choices.started, index, logs, "--started"), "--started");
  return log;
}

/// Standard input has no name that says what it is.
bool looks_like_json(const std::string& text) {
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  return first != std::string::npos && text[first] == '{';
}

/// Logs alone do not say what engine they are of.
Error no_circuit(const JobChoices& choices, const char* command) {
  std::string logs, circuits;
  for (const std::string& file : choices.files) logs += " " + file;
  for (const std::string& circuit : shipped_circuits()) circuits += (circuits.empty() ? "" : ", ") + circuit;
  return {choices.files.front(),
          "a log does not say what engine it is of, nor how hot its oil was where no column does",
          std::string("type: railseep ") + command + " models/valley_v8.json" + logs +
              " --oil-temperature \"90 degC\" --complaint \"cranks hot and does not start\"   (circuits: " + circuits +
              ")"};
}

}  // namespace

std::vector<std::string> shipped_circuits() {
  std::vector<std::string> names;
  for (const fs::directory_entry& entry : fs::directory_iterator(data_file("models")))
    if (entry.path().extension() == ".json" && file_kind(entry.path().string()) == "circuit")
      names.push_back("models/" + entry.path().filename().string());
  std::ranges::sort(names);
  return names;
}

std::string file_kind(const std::string& path) {
  if (path == "-" ? !looks_like_json(read_bytes(path, most_log_bytes)) : fs::path(path).extension() != ".json")
    return "";
  const Json json = read_json(path);
  return json.is_object() ? json.value("railseep", std::string()) : std::string();
}

Job job_of(const JobChoices& choices, const char* command) {
  const std::string first = data_file(choices.files.front());
  const std::string kind = file_kind(first);
  // A folder or a pipe is no log: the reader of jobs says so.
  const bool may_be_log = fs::path(first).extension() != ".json" && (!fs::exists(first) || fs::is_regular_file(first));
  if (kind.empty() && may_be_log) throw no_circuit(choices, command);
  if (kind != "circuit") {
    if (choices.files.size() > 1 || choices.told_beside())
      throw Error(choices.files.front(), "a job holds its own logs and what is told beside them",
                  "give the job alone, or a circuit with logs and options");
    return read_job(first);
  }
  Job job;
  job.circuit = choices.files.front();
  job.complaint = choices.complaint;
  for (std::size_t i = 1; i < choices.files.size(); ++i)
    job.logs.push_back(log_of(choices, choices.files[i], i - 1, choices.files.size() - 1));
  job.name = !choices.name.empty() ? choices.name : job.logs.empty() ? "a job" : job.logs.front().condition.name;
  return job;
}

void add_told_options(CLI::App& command, JobChoices& choices) {
  const std::string group = "What a job would hold, beside a circuit and logs; once for all logs, or once each";
  command.add_option("--complaint", choices.complaint, "What the customer complains of")->group(group);
  command.add_option("--name", choices.name, "Name of the job")->group(group);
  command
      .add_option("--oil-temperature", choices.oil_temperatures,
                  "Of a log that has no such column, such as \"90 degC\"")
      ->group(group);
  command.add_option("--oil", choices.oil, "Oil grade in the engine; otherwise the circuit's")->group(group);
  command.add_option("--speed", choices.speeds, "Cranking speed, where it is not logged")->group(group);
  command.add_option("--battery", choices.batteries, "Battery volts while cranking, where they are not logged")
      ->group(group);
  command.add_option("--started", choices.started, "Did it start in the log: yes or no")->group(group);
  for (const char* name : {"--oil-temperature", "--speed", "--battery", "--started"})
    command.get_option(name)->expected(1)->take_all();
  add_log_options(command, choices.logs);
}

void add_job_options(CLI::App& command, JobChoices& choices) {
  command
      .add_option("files", choices.files,
                  "A job file such as scenarios/harbour-work-boat/job.json; or a circuit and logs, such as "
                  "models/valley_v8.json hot.csv cold.csv")
      ->required();
  add_told_options(command, choices);
}

}  // namespace railseep
