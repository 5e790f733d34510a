#include <iomanip>
#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "circuit/faults.hpp"
#include "cli/commands.hpp"
#include "hearing/hiss.hpp"
#include "log/trace_csv.hpp"
#include "procedure/air_test.hpp"
#include "procedure/cautions.hpp"
#include "procedure/condition.hpp"
#include "procedure/hold_reading.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

struct AirChoices {
  std::string circuit, feed, pressure = "100 psi", temperature = "20 degC", residual_oil = "100 %", purge = "60 s",
                             from = "90 psi", to = "50 psi";
  std::string energise = "tool", pulse = "5 s", battery = "12.6 V", ear = "ear", noise = "0 dB", trace, wav, at;
  double exponent = 1;
  std::vector<std::string> faults;
  std::uint64_t seed = 0;
  bool coil_open = false, overwrite = false, metric = false;
};

constexpr QuantityRange residual_oil_range{Quantity::ratio, 0, 1, "%"};
constexpr QuantityRange extra_noise_range{Quantity::level, -40, 60,
                                          "dB"};  // from a silent room to one where nothing is heard

AirTestOptions options_of(const AirChoices& choices) {
  AirTestOptions o;
  o.feed = choices.feed;
  o.pressure = read_option(choices.pressure, Quantity::pressure, "--pressure");
  o.temperature = read_option(choices.temperature, Quantity::temperature, "--temperature");
  o.residual_oil = read_option(choices.residual_oil, residual_oil_range, "--residual-oil");
  o.purge_time = read_option(choices.purge, Quantity::time, "--purge");
  o.hold_from = read_option(choices.from, Quantity::pressure, "--hold-from");
  o.hold_to = read_option(choices.to, Quantity::pressure, "--hold-to");
  o.pulse = read_option(choices.pulse, Quantity::time, "--pulse");
  o.battery = read_option(choices.battery, condition_range::battery, "--battery");
  o.extra_room_noise = read_option(choices.noise, extra_noise_range, "--extra-noise");
  o.exponent = choices.exponent;
  o.ear = of_option("--ear", [&] { return find_ear_tool(choices.ear).name; });
  o.coil_connected = !choices.coil_open;
  if (choices.energise == "no")
    o.energise = Energised::no;
  else if (choices.energise == "tool")
    o.energise = Energised::by_tool;
  else if (choices.energise == "battery")
    o.energise = Energised::from_battery;
  else
    throw Error("--energise", "\"" + choices.energise + "\" is not a way to energise", "write no, tool or battery");
  return o;
}

std::string decibels(double level) {
  return format_quantity(std::abs(level) < 0.05 ? 0 : std::round(level), Quantity::level, "dB");
}

/// "12.3 L/min (0.43 cfm)" at the standard state.
std::string flow_text(double mass_flow) {
  const double q = standard_flow(mass_flow);
  return format_quantity(q, Quantity::volume_flow, "L/min", 3) + " (" +
         format_quantity(q, Quantity::volume_flow, "cfm", 3) + ")";
}

void print_hold(const AirPass& pass, const AirTestOptions& o, const std::string& unit, std::uint64_t seed) {
  const auto pressure = [&](double p) { return format_quantity(p, Quantity::pressure, unit, 3); };
  std::cout << "  air shut              ";
  if (!pass.gauge_reached)
    std::cout << "the gauge stood below " << pressure(o.hold_from) << ": it leaks more than the hose brings; "
              << pressure(pass.hold_end) << " left after " << format_quantity(pass.hold_time, Quantity::time, "s", 3)
              << "\n";
  else if (pass.decay)
    std::cout << pressure(o.hold_from) << " to " << pressure(o.hold_to) << " in "
              << format_quantity(*pass.decay, Quantity::time, "s", 3)
              << (seed ? "; one try reads " + format_quantity(fall_time_as_read(*pass.decay, !pass.energised, seed),
                                                              Quantity::time, "s", 2)
                       : std::string())
              << "\n";
  else
    std::cout << "still " << pressure(pass.hold_end) << " after "
              << format_quantity(pass.hold_time, Quantity::time, "s", 3)
              << (pass.energised ? " (the coil must rest)" : "") << "\n";
}

void print_pass(const AirPass& pass, const AirTestOptions& o, const std::string& unit, std::uint64_t seed) {
  std::cout << (pass.energised ? "Regulator energised, coil at " +
                                     format_quantity(pass.coil_temperature, Quantity::temperature, "degC", 3)
                               : std::string("Regulator not energised"))
            << "\n";
  std::cout << "  gauge                 " << format_quantity(pass.gauge, Quantity::pressure, unit, 3)
            << ", hose brings " << flow_text(pass.supplied) << "\n";
  print_hold(pass, o, unit, seed);
  std::cout << "  where the air goes\n";
  for (const AirLeak& leak : pass.leaks)
    std::cout << "    " << std::left << std::setw(44) << leak.name << std::right << flow_text(leak.flow)
              << (leak.wetness > 0.3
                      ? ", wet: " + format_quantity(leak.wetness, Quantity::ratio, "%", 2) + " of the oil is there"
                      : "")
              << "\n";
  std::cout << "  what is heard" << (pass.heard.empty() ? ": the circuit file has no listening points" : "") << "\n";
  for (const HeardPoint& point : pass.heard) {
    std::cout << "    " << std::left << std::setw(18) << point.name << std::setw(8) << word(point.heard) << std::right;
    if (point.heard != HeardWord::silent) {
      std::cout << decibels(point.level) << " at the ear, " << decibels(point.audibility) << " above the room; mostly "
                << point.sources.front().name;
      if (point.sources.front().gurgles) std::cout << ", gurgling";
      for (const HeardSource& source : point.sources)
        if (source.masked && source.name != point.sources.front().name) std::cout << "; hides " << source.name;
    }
    std::cout << "\n";
  }
  for (const auto& [access, flow] : flow_by_access(pass))
    std::cout << "    lost behind \"" << access << "\": " << flow_text(flow) << "\n";
}

void print_result(const Circuit& circuit, const AirTestResult& result, const AirTestOptions& o,
                  const std::vector<Fault>& faults, const AirChoices& choices) {
  const std::string unit = choices.metric ? "bar" : "psi";
  const std::uint64_t seed = choices.seed;
  std::cout << circuit.name << ", shop air " << format_quantity(o.pressure, Quantity::pressure, unit, 3)
            << " fed at the " << result.feed << ", " << format_quantity(o.purge_time, Quantity::time, "s", 3)
            << " of blowing before listening (" << o.ear << ")\n";
  for (const Fault& fault : faults) std::cout << "  fault: " << fault_text(fault, circuit) << "\n";
  if (faults.empty()) std::cout << "  no fault\n";
  print_pass(result.open, o, unit, seed);
  if (result.shut) {
    print_pass(*result.shut, o, unit, seed);
    std::cout << "Energised against not\n";
    for (const PointComparison& point : compare_energised(result))
      std::cout << "    " << std::left << std::setw(18) << point.point << std::right << word(point.change) << "\n";
  }
  std::cout << "What it says\n";
  for (const std::string& line : read_air_test(circuit, result)) std::cout << "  - " << line << "\n";
  std::cout << "Flows are of standard air: " << standard_air.name << ".\n";
}

void print_cautions() {
  std::cout << "Before the first step\n";
  for (const char* procedure : {"air test", "coil"})
    for (const Caution& caution : cautions_for(procedure))
      if (caution.when == procedure) std::cout << "  ! " << caution.text << "\n";
  for (const Caution& caution : cautions())
    if (caution.when == "always") std::cout << "  ! " << caution.text << "\n";
}

void write_files(const AirChoices& choices, const AirTestResult& result) {
  if (!choices.trace.empty()) {
    const std::string file = choices.overwrite ? choices.trace : free_name(choices.trace);
    write_text(file, trace_csv(result.trace, choices.metric), choices.overwrite);
    std::cout << "curves: " << file << "\n";
  }
  if (!choices.wav.empty()) {
    const AirPass& pass = result.shut ? *result.shut : result.open;
    const std::string point = choices.at.empty() && !pass.heard.empty() ? pass.heard.front().name : choices.at;
    const std::string file = choices.overwrite ? choices.wav : free_name(choices.wav);
    write_text(file, wav_text(hiss_at(of_option("--at", [&] { return pass.at(point); }), 4, 1)), choices.overwrite);
    std::cout << "sound at the " << point << (pass.energised ? ", energised" : "") << ": " << file << " (full scale is "
              << decibels(full_scale_level) << " at the ear)\n";
  }
}

}  // namespace

void add_air(CLI::App& program, Run& run) {
  auto choices = std::make_shared<AirChoices>();
  CLI::App* command = program.add_subcommand("air", "Compute the shop-air test: gauge, flows, and what is heard where");
  command->add_option("circuit", choices->circuit, "Circuit file, such as models/valley_v8.json")->required();
  command->add_option("--feed", choices->feed,
                      "Node the air is fed into, such as \"pump outlet\" (default: where the sensor sits)");
  command->add_option("--pressure", choices->pressure, "Shop regulator, 120 psi at most")->capture_default_str();
  command->add_option("--fault", choices->faults,
                      "PLACE: KIND SIZE, such as \"left rail front end plug: hole 0.5 mm\"; may be given again");
  command->add_option("--temperature", choices->temperature, "Air and metal")->capture_default_str();
  command
      ->add_option("--residual-oil", choices->residual_oil, "Oil still in the leaks: 100 % just drained, 0 % blown dry")
      ->capture_default_str();
  command->add_option("--purge", choices->purge, "Air on for so long before listening")->capture_default_str();
  command->add_option("--hold-from", choices->from, "The fall is timed from this gauge pressure")
      ->capture_default_str();
  command->add_option("--hold-to", choices->to, "to this one")->capture_default_str();
  command->add_option("--exponent", choices->exponent, "Of the air while it falls, 1 isothermal to 1.4 adiabatic")
      ->capture_default_str();
  command->add_option("--energise", choices->energise, "Second pass with the regulator energised: no, tool or battery")
      ->capture_default_str();
  command->add_option("--pulse", choices->pulse, "Coil on at one go, 10 s at most")->capture_default_str();
  command->add_option("--battery", choices->battery, "Battery voltage")->capture_default_str();
  command->add_flag("--coil-open", choices->coil_open, "Coil, plug or wiring is open");
  command->add_option("--ear", choices->ear, "ear, tube or stethoscope")->capture_default_str();
  command->add_option("--extra-noise", choices->noise, "The shop is so much noisier than the circuit file says")
      ->capture_default_str();
  command->add_option(
      "--seed", choices->seed,
      "Also give the fall as one try would read it, with the scatter of fittings and runs; a number above 0");
  command->add_option("--trace", choices->trace, "CSV file for the curves; an existing one is kept and a number added");
  command->add_option("--wav", choices->wav, "WAV file of what is heard (energised, where there is a second pass)");
  command->add_option("--at", choices->at, "Listening point of the WAV file (default: the first)");
  command->add_flag("--overwrite", choices->overwrite, "Write over existing files");
  command->add_flag("--metric", choices->metric, "bar and MPa instead of psi");
  command->callback([choices, &run] {
    run = [choices] {
      const Circuit healthy = read_circuit(data_file(choices->circuit));
      std::vector<Fault> faults;
      for (const std::string& text : choices->faults) faults.push_back(parse_fault(text, healthy));
      const AirTestOptions options = options_of(*choices);
      if (!options.feed.empty()) of_option("--feed", [&] { return healthy.find_node(options.feed); });
      const AirTestResult result = air_test(with_faults(healthy, faults), options);
      print_cautions();
      print_result(healthy, result, options, faults, *choices);
      write_files(*choices, result);
      return exit_done;
    };
  });
}

}  // namespace railseep
