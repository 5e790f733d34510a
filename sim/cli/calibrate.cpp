#include "after/calibrate.hpp"

#include <filesystem>
#include <iomanip>
#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/log_choices.hpp"
#include "job/job.hpp"
#include "log/log_reader.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"
#include "words/shown_units.hpp"

namespace railseep {

namespace {

struct CalibrateChoices {
  std::string circuit, out, oil, oil_temperature;
  std::vector<std::string> logs;
  LogChoices how;
  bool anyway = false;
};

std::vector<CrankEvidence> read_logs(const CalibrateChoices& choices, const Circuit& circuit) {
  LogOptions options = choices.how.options();
  options.engine = engine_hints(circuit);
  std::vector<CrankEvidence> all;
  for (const std::string& file : choices.logs) {
    LogCondition told;
    told.name = std::filesystem::path(file).stem().string();
    told.oil = choices.oil;
    if (!choices.oil_temperature.empty())
      told.oil_temperature =
          read_option(choices.oil_temperature, condition_range::oil_temperature, "--oil-temperature");
    all.push_back(crank_evidence(read_log(data_file(file), options), told));
  }
  return all;
}

void print_numbers(const Calibration& calibration) {
  std::cout << "  " << std::left << std::setw(46) << "number" << std::setw(16) << "times before" << std::setw(20)
            << "90 % interval"
            << "spread\n";
  for (const CalibratedNumber& number : calibration.numbers) {
    std::cout << "  " << std::left << std::setw(46) << number.name << std::fixed << std::setprecision(3)
              << std::setw(16) << number.after / number.before;
    std::ostringstream interval;
    interval << std::fixed << std::setprecision(3) << number.low / number.before << " to "
             << number.high / number.before;
    std::cout << std::setw(20) << interval.str() << percent(number.spread) << " (was " << percent(number.spread_before)
              << ")\n";
  }
}

int run_calibrate(const CalibrateChoices& choices) {
  const Circuit circuit = read_circuit(data_file(choices.circuit));
  const std::vector<CrankEvidence> logs = read_logs(choices, circuit);
  const Calibration calibration = calibrate(circuit, logs);
  std::cout << circuit.name << ", fitted to " << logs.size() << (logs.size() == 1 ? " log" : " logs")
            << " of an engine that is said to be good; misfit "
            << format_quantity(calibration.misfit, Quantity::pressure, "psi", 2) << "\n\n";
  print_numbers(calibration);
  if (!calibration.believable) {
    std::cout << "\n"
              << wrapped(
                     "No: a sound engine does not explain these logs within noise and model doubt. Is the engine good, "
                     "are circuit, oil and temperatures right?",
                     "  ");
    if (!choices.anyway) {
      std::cout << "Nothing was written; --anyway writes it all the same.\n";
      return exit_bad_input;
    }
  }
  const std::string out = choices.out.empty()
                              ? free_name(std::filesystem::path(choices.circuit).stem().string() + "-calibrated.json")
                              : choices.out;
  write_text(out, circuit_text(calibration.circuit), false);
  std::cout << "\ncircuit: " << out << "\n";
  return exit_done;
}

}  // namespace

void add_calibrate(CLI::App& program, Run& run) {
  auto choices = std::make_shared<CalibrateChoices>();
  CLI::App* command = program.add_subcommand(
      "calibrate", "Fit what a circuit is unsure of to logs of a good engine, and write the circuit anew");
  command->add_option("circuit", choices->circuit, "Circuit file, such as models/inline_six.json")->required();
  command->add_option("logs", choices->logs, "Logs of cranks of an engine that is known to be good: hot and cold")
      ->required();
  command->add_option("--oil", choices->oil, "Oil grade in it; otherwise the circuit's");
  command->add_option("--oil-temperature", choices->oil_temperature, "For logs that have none, such as \"85 degC\"");
  command->add_option("--out", choices->out,
                      "File to write; otherwise the circuit's name with -calibrated, in this folder");
  add_log_options(*command, choices->how);
  command->add_flag("--anyway", choices->anyway,
                    "Write the circuit even when a sound engine does not explain the logs");
  command->callback([choices, &run] { run = [choices] { return run_calibrate(*choices); }; });
}

}  // namespace railseep
