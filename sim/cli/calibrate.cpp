#include "after/calibrate.hpp"

#include <filesystem>
#include <iomanip>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/log_choices.hpp"
#include "cli/output.hpp"
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
  OutputChoices output;
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

void print_numbers(Output& out, const Calibration& calibration) {
  out.text() << "  " << std::left << std::setw(46) << "number" << std::setw(16) << "times before" << std::setw(20)
             << "90 % interval"
             << "spread\n";
  for (const CalibratedNumber& number : calibration.numbers) {
    out.text() << "  " << std::left << std::setw(46) << number.name << std::fixed << std::setprecision(3)
               << std::setw(16) << number.after / number.before;
    std::ostringstream interval;
    interval << std::fixed << std::setprecision(3) << number.low / number.before << " to "
             << number.high / number.before;
    out.text() << std::setw(20) << interval.str() << percent(number.spread) << " (was " << percent(number.spread_before)
               << ")\n";
  }
}

Json calibration_json(const Circuit& circuit, const Calibration& calibration, std::size_t logs) {
  Json json = result_head("calibration");
  json["circuit"] = circuit.name;
  json["logs"] = logs;
  json["misfit_Pa"] = calibration.misfit;
  json["sound_engine_explains_them"] = calibration.believable;
  json["numbers"] = Json::array();
  for (const CalibratedNumber& number : calibration.numbers)
    json["numbers"].push_back({{"name", number.name},
                               {"before_SI", number.before},
                               {"after_SI", number.after},
                               {"90_percent_SI", {number.low, number.high}},
                               {"spread_before", number.spread_before},
                               {"spread", number.spread}});
  return json;
}

int run_calibrate(const CalibrateChoices& choices) {
  Output out(choices.output, {choices.out});
  const Circuit circuit = read_circuit(data_file(choices.circuit));
  const std::vector<CrankEvidence> logs = read_logs(choices, circuit);
  const Calibration calibration = calibrate(circuit, logs);
  out.text() << circuit.name << ", fitted to " << logs.size() << (logs.size() == 1 ? " log" : " logs")
             << " of an engine that is said to be good; computed and measured pressure differ by "
             << out.shown(calibration.misfit, Quantity::pressure, "", 2) << " (root mean square)\n\n";
  print_numbers(out, calibration);
  out.json(calibration_json(circuit, calibration, logs.size()));
  const Answered answered = calibration.believable ? Answered::yes : Answered::no;
  if (!calibration.believable)
    out.text()
        << "\n"
        << wrapped(
               "No: a sound engine does not explain these logs within noise and model doubt. Is the engine good, "
               "are circuit, oil and temperatures right?",
               "  ");
  if (choices.out.empty()) {
    out.text() << "\nNothing was written; --out FILE writes the circuit.\n";
    return out.code(answered);
  }
  if (!calibration.believable && !choices.anyway) {
    out.text() << "Nothing was written; --anyway writes it all the same.\n";
    return choices.output.verdict ? out.code(answered) : exit_bad_input;
  }
  out.text() << "\n";
  out.file("circuit", choices.out, circuit_text(calibration.circuit));
  return out.code(answered);
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
                      "File for the fitted circuit; - is standard output (default: nothing is written)");
  add_log_options(*command, choices->how);
  command->add_flag("--anyway", choices->anyway,
                    "Write the circuit even when a sound engine does not explain the logs");
  add_overwrite(*command, choices->output);
  add_output_options(*command, choices->output);
  add_verdict(*command, choices->output, "a sound engine explains the logs");
  command->callback([choices, &run] { run = [choices] { return run_calibrate(*choices); }; });
}

}  // namespace railseep
