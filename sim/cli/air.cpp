#include <iomanip>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "circuit/faults.hpp"
#include "cli/commands.hpp"
#include "cli/engine_choices.hpp"
#include "hearing/hiss.hpp"
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
  std::string energise = "tool", pulse = "5 s", battery = "12.6 V", ear = "ear", noise = "0 dB", wav, at;
  double exponent = 1;
  std::vector<std::string> faults;
  std::uint64_t seed = 0;
  bool coil_open = false;
  CurveChoices curves;
  OutputChoices output;
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

void print_hold(Output& out, const AirPass& pass, const AirTestOptions& o, std::uint64_t seed) {
  const auto pressure = [&](double p) { return out.shown(p, Quantity::pressure); };
  out.text() << "  air shut              ";
  if (!pass.gauge_reached)
    out.text() << "the gauge stood below " << pressure(o.hold_from) << ": it leaks more than the hose brings; "
               << pressure(pass.hold_end) << " left after " << format_quantity(pass.hold_time, Quantity::time, "s", 3)
               << "\n";
  else if (pass.decay)
    out.text() << pressure(o.hold_from) << " to " << pressure(o.hold_to) << " in "
               << format_quantity(*pass.decay, Quantity::time, "s", 3)
               << (seed ? "; one try reads " + format_quantity(fall_time_as_read(*pass.decay, !pass.energised, seed),
                                                               Quantity::time, "s", 2)
                        : std::string())
               << "\n";
  else
    out.text() << "still " << pressure(pass.hold_end) << " after "
               << format_quantity(pass.hold_time, Quantity::time, "s", 3)
               << (pass.energised ? " (the coil must rest)" : "") << "\n";
}

void print_pass(Output& out, const AirPass& pass, const AirTestOptions& o, std::uint64_t seed) {
  out.text() << (pass.energised
                     ? "Regulator energised, coil at " + out.shown(pass.coil_temperature, Quantity::temperature)
                     : std::string("Regulator not energised"))
             << "\n";
  out.text() << "  gauge                 " << out.shown(pass.gauge, Quantity::pressure) << ", hose brings "
             << flow_text(pass.supplied) << "\n";
  print_hold(out, pass, o, seed);
  out.text() << "  where the air goes\n";
  for (const AirLeak& leak : pass.leaks)
    out.text() << "    " << std::left << std::setw(44) << leak.name << std::right << flow_text(leak.flow)
               << (leak.wetness > 0.3
                       ? ", wet: " + format_quantity(leak.wetness, Quantity::ratio, "%", 2) + " of the oil is there"
                       : "")
               << "\n";
  out.text() << "  what is heard" << (pass.heard.empty() ? ": the circuit file has no listening points" : "") << "\n";
  for (const HeardPoint& point : pass.heard) {
    out.text() << "    " << std::left << std::setw(18) << point.name << std::setw(8) << word(point.heard) << std::right;
    if (point.heard != HeardWord::silent) {
      out.text() << decibels(point.level) << " at the ear, " << decibels(point.audibility) << " above the room; mostly "
                 << point.sources.front().name;
      if (point.sources.front().gurgles) out.text() << ", gurgling";
      for (const HeardSource& source : point.sources)
        if (source.masked && source.name != point.sources.front().name) out.text() << "; hides " << source.name;
    }
    out.text() << "\n";
  }
  for (const auto& [access, flow] : flow_by_access(pass))
    out.text() << "    lost behind \"" << access << "\": " << flow_text(flow) << "\n";
}

void print_result(Output& out, const Circuit& circuit, const AirTestResult& result, const AirTestOptions& o,
                  const std::vector<Fault>& faults, std::uint64_t seed) {
  out.text() << circuit.name << ", shop air " << out.shown(o.pressure, Quantity::pressure) << " fed at the "
             << result.feed << ", " << format_quantity(o.purge_time, Quantity::time, "s", 3)
             << " of blowing before listening (" << o.ear << ")\n";
  for (const Fault& fault : faults) out.text() << "  fault: " << fault_text(fault, circuit) << "\n";
  if (faults.empty()) out.text() << "  no fault\n";
  print_pass(out, result.open, o, seed);
  if (result.shut) {
    print_pass(out, *result.shut, o, seed);
    out.text() << "Energised against not\n";
    for (const PointComparison& point : compare_energised(result))
      out.text() << "    " << std::left << std::setw(18) << point.point << std::right << word(point.change) << "\n";
  }
  out.text() << "What it says\n";
  for (const std::string& line : read_air_test(circuit, result)) out.text() << wrapped("  - " + line, "    ");
  out.text() << "Flows are of standard air: " << standard_air.name << ".\n";
}

void print_air_cautions(Output& out) {
  out.text() << "Before the first step\n";
  for (const std::string_view procedure : {"air test", "coil", "always"})
    for (const Caution& caution : cautions())
      if (caution.when == procedure) out.text() << wrapped("  ! " + std::string(caution.text), "    ");
}

void write_sound(Output& out, const AirChoices& choices, const AirTestResult& result) {
  if (choices.wav.empty()) return;
  const AirPass& pass = result.shut ? *result.shut : result.open;
  const std::string point = choices.at.empty() && !pass.heard.empty() ? pass.heard.front().name : choices.at;
  const std::string sound = wav_text(hiss_at(of_option("--at", [&] { return pass.at(point); }), 4, 1));
  out.file("sound at the " + point + (pass.energised ? ", energised" : "") + " (full scale is " +
               decibels(full_scale_level) + " at the ear)",
           choices.wav, sound);
}

Json pass_json(const AirPass& pass, std::uint64_t seed) {
  Json json{{"energised", pass.energised},
            {"gauge_Pa", pass.gauge},
            {"supplied_standard_m3/s", standard_flow(pass.supplied)},
            {"gauge_reached", pass.gauge_reached},
            {"fall_s", pass.decay ? Json(*pass.decay) : Json()},
            {"watched_s", pass.hold_time},
            {"left_Pa", pass.hold_end},
            {"leaks", Json::array()},
            {"heard", Json::array()}};
  if (seed && pass.decay) json["fall_as_read_s"] = fall_time_as_read(*pass.decay, !pass.energised, seed);
  for (const AirLeak& leak : pass.leaks)
    json["leaks"].push_back({{"place", leak.place},
                             {"behind", leak.access},
                             {"standard_flow_m3/s", standard_flow(leak.flow)},
                             {"wetness", leak.wetness}});
  for (const HeardPoint& point : pass.heard)
    json["heard"].push_back({{"point", point.name},
                             {"heard", word(point.heard)},
                             {"level_dB", point.level},
                             {"above_the_room_dB", point.audibility}});
  return json;
}

Json air_json(const Circuit& circuit, const AirTestResult& result, const std::vector<Fault>& faults,
              std::uint64_t seed) {
  Json json = result_head("air");
  json["circuit"] = circuit.name;
  json["faults"] = Json::array();
  for (const Fault& fault : faults) json["faults"].push_back(fault_text(fault, circuit));
  json["feed"] = result.feed;
  json["passes"] = Json::array({pass_json(result.open, seed)});
  if (result.shut) json["passes"].push_back(pass_json(*result.shut, seed));
  json["says"] = read_air_test(circuit, result);
  return json;
}

int run_air(const AirChoices& choices) {
  Output out(choices.output, {choices.curves.trace, choices.curves.plot, choices.wav});
  const Circuit healthy = read_circuit(data_file(choices.circuit));
  std::vector<Fault> faults;
  for (const std::string& text : choices.faults) faults.push_back(parse_fault(text, healthy));
  const AirTestOptions options = options_of(choices);
  if (!options.feed.empty()) of_option("--feed", [&] { return healthy.find_node(options.feed); });
  const AirTestResult result = air_test(with_faults(healthy, faults), options);
  print_air_cautions(out);
  print_result(out, healthy, result, options, faults, choices.seed);
  give_curves(out, choices.curves, result.trace, healthy.name + ": shop air");
  write_sound(out, choices, result);
  out.json(air_json(healthy, result, faults, choices.seed));
  return exit_done;
}

}  // namespace

void add_air(CLI::App& program, Run& run) {
  auto choices = std::make_shared<AirChoices>();
  CLI::App* command = program.add_subcommand("air", "Compute the shop-air test: gauge, flows, and what is heard where");
  add_circuit(*command, choices->circuit);
  command->add_option("--feed", choices->feed,
                      "Node the air is fed into, such as \"pump outlet\" (default: where the sensor sits)");
  command->add_option("--pressure", choices->pressure, "Shop regulator, 120 psi at most")->capture_default_str();
  add_faults_option(*command, choices->faults);
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
  command->add_option("--battery", choices->battery, "Battery voltage while it is energised")->capture_default_str();
  command->add_flag("--coil-open", choices->coil_open, "Coil, plug or wiring is open");
  command->add_option("--ear", choices->ear, "ear, tube or stethoscope")->capture_default_str();
  command->add_option("--extra-noise", choices->noise, "The shop is so much noisier than the circuit file says")
      ->capture_default_str();
  command->add_option(
      "--seed", choices->seed,
      "Also give the fall as one try would read it, with the scatter of fittings and runs; a number above 0");
  add_curve_files(*command, choices->curves);
  command->add_option("--wav", choices->wav,
                      "WAV file of what is heard (energised, where there is a second pass); - is standard output");
  command->add_option("--at", choices->at, "Listening point of the WAV file (default: the first)");
  add_overwrite(*command, choices->output);
  add_output_options(*command, choices->output);
  command->callback([choices, &run] { run = [choices] { return run_air(*choices); }; });
}

}  // namespace railseep
