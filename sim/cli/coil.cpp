#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/engine_choices.hpp"
#include "procedure/cautions.hpp"
#include "procedure/coil_test.hpp"
#include "procedure/condition.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

struct CoilChoices {
  std::string circuit, battery = "12.6 V", temperature = "20 degC", on = "5 s", off = "30 s", insulation = "155 (F)";
  int pulses = 3;
  CurveChoices curves;
  OutputChoices output;
};

constexpr QuantityRange ambient_range{Quantity::temperature, 223.15, 453.15, "degC"};  // of metal near an engine

/// One way to energise it, and what that comes to.
struct CoilWay {
  const char* words;
  const char* key;
  CoilSchedule schedule;
  CoilResult result;
};

void print_way(Output& out, const CoilWay& way, const CoilWinding& coil) {
  const auto degrees = [&](double t) { return out.shown(t, Quantity::temperature); };
  const CoilResult& result = way.result;
  const std::optional<double> limit_after = time_to_limit(coil, way.schedule);
  out.text() << "  " << way.words
             << out.shown(coil.current(way.schedule.duty * way.schedule.voltage, way.schedule.ambient),
                          Quantity::current, "A")
             << " at first, hottest " << degrees(result.hottest) << ", "
             << out.shown(coil.resistance_at(result.hottest), Quantity::resistance, "ohm") << " there\n";
  if (limit_after)
    out.text() << "      left on, it would reach " << degrees(result.insulation_limit) << " after "
               << out.shown(*limit_after, Quantity::time, "s") << "\n";
  if (result.too_hot)
    out.text() << "      TOO LONG: " << out.shown(longest_coil_time, Quantity::time, "s", 2) << " at one go and "
               << degrees(result.insulation_limit) << " are the limits\n";
}

Json way_json(const CoilWay& way, const CoilWinding& coil) {
  return {{"current_at_first_A", coil.current(way.schedule.duty * way.schedule.voltage, way.schedule.ambient)},
          {"hottest_K", way.result.hottest},
          {"insulation_limit_K", way.result.insulation_limit},
          {"too_long", way.result.too_hot}};
}

CoilSchedule schedule_of(const CoilChoices& choices) {
  CoilSchedule schedule;
  schedule.voltage = read_option(choices.battery, condition_range::battery, "--battery");
  schedule.ambient = read_option(choices.temperature, ambient_range, "--temperature");
  schedule.on = read_option(choices.on, Quantity::time, "--on");
  schedule.off = read_option(choices.off, Quantity::time, "--off");
  schedule.pulses = choices.pulses;
  return schedule;
}

int run_coil(const CoilChoices& choices) {
  Output out(choices.output, {choices.curves.trace, choices.curves.plot});
  const Circuit circuit = read_circuit(data_file(choices.circuit));
  const int regulator = circuit.only<Regulator>();
  if (regulator < 0)
    throw Error(circuit.name, "the circuit has no pressure regulator", "add a link of kind \"regulator\"");
  CoilWinding coil = coil_of(std::get<Regulator>(circuit.links[regulator].element));
  coil.insulation = of_option("--insulation", [&] { return find_insulation_class(choices.insulation).name; });
  const CoilSchedule schedule = schedule_of(choices);
  CoilSchedule tool = schedule;
  tool.duty = tool_duty;
  const CoilWay ways[] = {{"straight from the battery   ", "from_battery", schedule, coil_test(coil, schedule)},
                          {"by a tool that pulses half  ", "by_tool", tool, coil_test(coil, tool)}};

  for (const Caution& caution : cautions_for("coil")) out.text() << wrapped("  ! " + std::string(caution.text), "    ");
  out.text() << circuit.links[regulator].name << ", " << schedule.pulses << " pulses of "
             << out.shown(schedule.on, Quantity::time, "s") << " on, " << out.shown(schedule.off, Quantity::time, "s")
             << " off; heating data assumed\n";
  Json json = result_head("coil");
  json["circuit"] = circuit.name;
  for (const CoilWay& way : ways) {
    print_way(out, way, coil);
    json[way.key] = way_json(way, coil);
  }
  give_curves(out, choices.curves, ways[0].result.trace, circuit.name + ": coil straight from the battery");
  out.json(json);
  return out.code(ways[0].result.too_hot || ways[1].result.too_hot ? Answered::no : Answered::yes);
}

}  // namespace

void add_coil(CLI::App& program, Run& run) {
  auto choices = std::make_shared<CoilChoices>();
  CLI::App* command = program.add_subcommand("coil", "Compute how warm the regulator's coil gets when it is energised");
  add_circuit(*command, choices->circuit);
  command->add_option("--battery", choices->battery, "Battery voltage while it is energised")->capture_default_str();
  command->add_option("--temperature", choices->temperature, "Air and metal")->capture_default_str();
  command->add_option("--on", choices->on, "Energised at one go")->capture_default_str();
  command->add_option("--off", choices->off, "Rest between")->capture_default_str();
  command->add_option("--pulses", choices->pulses, "How many")->capture_default_str();
  command->add_option("--insulation", choices->insulation, "Insulation class of the winding (assumed)")
      ->capture_default_str();
  add_curve_files(*command, choices->curves);
  add_overwrite(*command, choices->output);
  add_output_options(*command, choices->output);
  add_verdict(*command, choices->output, "the coil stays within its limits");
  command->callback([choices, &run] { run = [choices] { return run_coil(*choices); }; });
}

}  // namespace railseep
