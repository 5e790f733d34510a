#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "log/trace_csv.hpp"
#include "procedure/cautions.hpp"
#include "procedure/coil_test.hpp"
#include "procedure/condition.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

struct CoilChoices {
  std::string circuit, battery = "12.6 V", ambient = "20 degC", on = "5 s", off = "30 s", insulation = "155 (F)", trace;
  int pulses = 3;
  bool overwrite = false;
};

constexpr QuantityRange ambient_range{Quantity::temperature, 223.15, 453.15, "degC"};  // of metal near an engine

void print(const char* way, const CoilWinding& coil, const CoilSchedule& schedule, const CoilResult& result) {
  const auto degrees = [](double t) { return format_quantity(t, Quantity::temperature, "degC", 3); };
  const std::optional<double> limit_after = time_to_limit(coil, schedule);
  std::cout << "  " << way
            << format_quantity(coil.current(schedule.duty * schedule.voltage, schedule.ambient), Quantity::current, "A",
                               3)
            << " at first, hottest " << degrees(result.hottest) << ", "
            << format_quantity(coil.resistance_at(result.hottest), Quantity::resistance, "ohm", 3) << " there\n";
  if (limit_after)
    std::cout << "      left on, it would reach " << degrees(result.insulation_limit) << " after "
              << format_quantity(*limit_after, Quantity::time, "s", 3) << "\n";
  if (result.too_hot)
    std::cout << "      TOO LONG: " << format_quantity(longest_coil_time, Quantity::time, "s") << " at one go and "
              << degrees(result.insulation_limit) << " are the limits\n";
}

}  // namespace

void add_coil(CLI::App& program, Run& run) {
  auto choices = std::make_shared<CoilChoices>();
  CLI::App* command = program.add_subcommand("coil", "Compute how warm the regulator's coil gets when it is energised");
  command->add_option("circuit", choices->circuit, "Circuit file, such as models/valley_v8.json")->required();
  command->add_option("--battery", choices->battery, "Battery voltage")->capture_default_str();
  command->add_option("--ambient", choices->ambient, "Air and metal around the coil")->capture_default_str();
  command->add_option("--on", choices->on, "Energised at one go")->capture_default_str();
  command->add_option("--off", choices->off, "Rest between")->capture_default_str();
  command->add_option("--pulses", choices->pulses, "How many")->capture_default_str();
  command->add_option("--insulation", choices->insulation, "Insulation class of the winding (assumed)")
      ->capture_default_str();
  command->add_option("--trace", choices->trace,
                      "CSV file for the curve straight from the battery; an existing one is kept and a number added");
  command->add_flag("--overwrite", choices->overwrite, "Write over an existing file");
  command->callback([choices, &run] {
    run = [choices] {
      const Circuit circuit = read_circuit(data_file(choices->circuit));
      const int regulator = circuit.only<Regulator>();
      if (regulator < 0)
        throw Error(circuit.name, "the circuit has no pressure regulator", "add a link of kind \"regulator\"");
      CoilWinding coil = coil_of(std::get<Regulator>(circuit.links[regulator].element));
      coil.insulation = of_option("--insulation", [&] { return find_insulation_class(choices->insulation).name; });
      CoilSchedule schedule;
      schedule.voltage = read_option(choices->battery, condition_range::battery, "--battery");
      schedule.ambient = read_option(choices->ambient, ambient_range, "--ambient");
      schedule.on = read_option(choices->on, Quantity::time, "--on");
      schedule.off = read_option(choices->off, Quantity::time, "--off");
      schedule.pulses = choices->pulses;
      CoilSchedule tool = schedule;
      tool.duty = tool_duty;
      const CoilResult battery = coil_test(coil, schedule), by_tool = coil_test(coil, tool);
      for (const Caution& caution : cautions_for("coil")) std::cout << "  ! " << caution.text << "\n";
      std::cout << circuit.links[regulator].name << ", " << schedule.pulses << " pulses of "
                << format_quantity(schedule.on, Quantity::time, "s") << " on, "
                << format_quantity(schedule.off, Quantity::time, "s") << " off; heating data assumed\n";
      print("straight from the battery   ", coil, schedule, battery);
      print("by a tool that pulses half  ", coil, tool, by_tool);
      if (!choices->trace.empty()) {
        const std::string file = choices->overwrite ? choices->trace : free_name(choices->trace);
        write_text(file, trace_csv(battery.trace, true), choices->overwrite);
        std::cout << "curve: " << file << "\n";
      }
      return exit_done;
    };
  });
}

}  // namespace railseep
