#include "procedure/crank.hpp"

#include <iomanip>
#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "circuit/faults.hpp"
#include "cli/commands.hpp"
#include "log/trace_csv.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

struct CrankChoices {
  std::string circuit, oil, trace;
  std::string oil_temperature = "20 degC", speed = "170 rpm", battery = "10.5 V", rest_air = "3 %", rest_time = "0 s",
              duration = "6 s";
  std::vector<std::string> faults;
  bool metric = false, overwrite = false;
};

void print_summary(const Circuit& circuit, const Condition& condition, const Trace& trace,
                   const std::vector<Fault>& faults, bool metric) {
  const CrankSummary s = summarise(circuit, trace);
  std::cout << circuit.name << ", " << (condition.oil.empty() ? circuit.oil : condition.oil) << " at "
            << format_quantity(condition.oil_temperature, Quantity::temperature, "degC", 3) << ", cranked at "
            << format_quantity(condition.speed.at(0), Quantity::speed, "rpm", 3) << " for "
            << format_quantity(trace.time.back(), Quantity::time, "s", 3) << "\n";
  for (const Fault& fault : faults) std::cout << "  fault: " << fault_text(fault, circuit) << "\n";
  if (faults.empty()) std::cout << "  no fault\n";
  std::cout << "  rail pressure shown   peak " << pressure(s.peak, metric) << ", last fifth "
            << pressure(s.plateau, metric) << "\n";
  std::cout << "  enable pressure       " << pressure(circuit.control.enable_pressure, metric)
            << (s.time_to_enable ? " after " + format_quantity(*s.time_to_enable, Quantity::time, "s", 3)
                                 : " not reached")
            << "\n";
  std::cout << "  regulator duty        " << format_quantity(s.duty, Quantity::ratio, "%", 3)
            << (s.duty > 0.995 * circuit.control.most_duty ? " (its ceiling)" : "") << "\n";
  std::cout << "  injection             "
            << (s.injection_enabled ? "would be enabled" : "stays off: it cranks and does not start") << "\n";
  const OilBalance oil = balance(circuit, trace);
  const auto flow = [&](const std::string& name, double q) {
    std::cout << "    " << std::left << std::setw(40) << name << std::right << std::setw(7) << std::fixed
              << std::setprecision(2) << q * 1e6 << " cm3/s\n";
  };
  std::cout << "  where the pump's oil goes, last fifth\n";
  flow("the pump displaces", oil.displaced);
  flow("slips back or never came in", oil.slip);
  for (const OilBalance::Share& use : oil.uses) flow(use.name, use.flow);
  flow("fills and compresses", oil.stored);
}

}  // namespace

void add_crank(CLI::App& program, Run& run) {
  auto choices = std::make_shared<CrankChoices>();
  CLI::App* command =
      program.add_subcommand("crank", "Compute what the gauges would show while the starter turns the engine");
  command->add_option("circuit", choices->circuit, "Circuit file, such as models/valley_v8.json")->required();
  command->add_option("--oil-temperature", choices->oil_temperature, "Oil temperature")->capture_default_str();
  command->add_option("--oil", choices->oil, "Oil grade (default: the circuit's)");
  command->add_option("--speed", choices->speed, "Cranking speed")->capture_default_str();
  command->add_option("--battery", choices->battery, "Battery voltage while cranking")->capture_default_str();
  command->add_option("--rest-air", choices->rest_air, "Share of the passages that drained back to air")
      ->capture_default_str();
  command->add_option("--rest-time", choices->rest_time, "How long the engine stood: what can drain back does")
      ->capture_default_str();
  command->add_option("--duration", choices->duration, "Cranking time")->capture_default_str();
  command->add_option("--fault", choices->faults,
                      "PLACE: KIND SIZE, such as \"left rail front end plug: hole 0.5 mm\"; may be given again");
  command->add_option("--trace", choices->trace, "CSV file for the curves; an existing one is kept and a number added");
  command->add_flag("--overwrite", choices->overwrite, "Write over an existing CSV file");
  command->add_flag("--metric", choices->metric, "MPa instead of psi");
  command->callback([choices, &run] {
    run = [choices] {
      const Circuit healthy = read_circuit(data_file(choices->circuit));
      std::vector<Fault> faults;
      for (const std::string& text : choices->faults) faults.push_back(parse_fault(text, healthy));
      Condition condition;
      condition.oil = choices->oil;
      condition.oil_temperature =
          read_option(choices->oil_temperature, condition_range::oil_temperature, "--oil-temperature");
      condition.speed = Profile(read_option(choices->speed, condition_range::speed, "--speed"));
      condition.battery = Profile(read_option(choices->battery, condition_range::battery, "--battery"));
      condition.rest_air = read_option(choices->rest_air, condition_range::rest_air, "--rest-air");
      condition.rest_time = read_option(choices->rest_time, condition_range::rest_time, "--rest-time");
      CrankOptions options;
      options.duration = read_option(choices->duration, Quantity::time, "--duration");
      if (!(options.duration > 0 && options.duration <= 60))
        throw Error("--duration", "the cranking time is out of range", "write up to 60 s (a starter needs its rest)");
      const Circuit circuit = with_faults(healthy, faults);
      const CrankResult result = crank(circuit, condition, options);
      print_summary(circuit, condition, result.trace, faults, choices->metric);
      if (choices->trace.empty()) return exit_done;
      const std::string file = choices->overwrite ? choices->trace : free_name(choices->trace);
      write_text(file, trace_csv(result.trace, choices->metric), choices->overwrite);
      std::cout << "curves: " << file << "\n";
      return exit_done;
    };
  });
}

}  // namespace railseep
