#include "cli/engine_choices.hpp"

#include <unistd.h>

#include <algorithm>
#include <array>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/text_plot.hpp"
#include "drawing/svg_plot.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr QuantityRange rested_range{Quantity::voltage, 4, 36, "V"};

/// Channels that a scan tool shows, in this order.
constexpr std::array logged_channels = {signal::shown_pressure, signal::wanted_pressure, signal::regulator_duty,
                                        signal::engine_speed,   signal::battery_voltage, signal::oil_temperature,
                                        signal::sensor_volts,   signal::injector_pulse};

/// One picture of channels of one kind over time.
std::string plot_of(const Trace& trace, const std::string& title, const ShownUnits& units,
                    std::initializer_list<std::string_view> names) {
  std::vector<PlotCurve> curves;
  std::string unit;
  for (const std::string_view name : names) {
    if (!trace.has(name)) continue;
    const TraceChannel& channel = trace.find(name);
    PlotCurve curve{std::string(name), trace.time, channel.value};
    for (double& value : curve.y) value = units.number(value, channel.quantity);
    if (name == signal::wanted_pressure) curve.mark = PlotCurve::Mark::dashes;
    unit = units.unit(channel.quantity);
    curves.push_back(std::move(curve));
  }
  return curves.empty() ? "" : svg_plot(title, "time [s]", "[" + unit + "]", curves);
}

std::string picture(const Trace& trace, const std::string& title, const ShownUnits& units) {
  std::vector<std::string> plots;
  for (const std::string& plot :
       {plot_of(trace, title, units, {signal::shown_pressure, signal::wanted_pressure}),
        plot_of(trace, "regulator duty", units, {signal::regulator_duty}),
        plot_of(trace, "engine speed", units, {signal::engine_speed}),
        plot_of(trace, trace.has(signal::shown_pressure) ? "" : title, units, {"gauge pressure"}),
        plot_of(trace, "coil temperature", units, {signal::coil_temperature})})
    if (!plot.empty()) plots.push_back(plot);
  return svg_page(plots);
}

void sketch(Output& out, const Trace& trace) {
  for (const std::string_view name : {signal::shown_pressure, signal::regulator_duty}) {
    if (!trace.has(name)) continue;
    const TraceChannel& channel = trace.find(name);
    std::vector<double> shown = channel.value;
    for (double& value : shown) value = out.units().number(value, channel.quantity);
    out.text() << text_plot(
        std::string(name) + " [" + std::string(out.units().unit(channel.quantity)) + "] over time [s]", trace.time,
        shown);
  }
}

}  // namespace

void add_circuit(CLI::App& command, std::string& circuit) {
  command.add_option("circuit", circuit, "Circuit file, such as models/valley_v8.json")->required();
}

void add_faults_option(CLI::App& command, std::vector<std::string>& faults) {
  command.add_option(
      "--fault", faults,
      "PLACE: KIND SIZE that is in the engine, such as \"left rail front end plug: hole 0.5 mm\"; may be "
      "given again");
}

void add_rested_battery(CLI::App& command, std::string& volts) {
  command.add_option("--rested-battery", volts,
                     "Volts of the rested battery, from which the starter makes the speed (default: a healthy one's)");
}

void add_engine_options(CLI::App& command, EngineChoices& choices) {
  add_circuit(command, choices.circuit);
  command.add_option("--oil-temperature", choices.oil_temperature, "Oil temperature")->capture_default_str();
  command.add_option("--oil", choices.oil, "Oil grade (default: the circuit's)");
  if (choices.speed.empty())
    command.add_option("--speed", choices.speed, "Cranking speed (default: what starter and battery make of it)");
  else
    command.add_option("--speed", choices.speed, "Cranking speed")->capture_default_str();
  command.add_option("--battery", choices.battery, "Battery voltage while cranking, where the speed is given")
      ->capture_default_str();
  add_rested_battery(command, choices.rested_battery);
  command.add_option("--rest-air", choices.rest_air, "Share of the passages that drained back to air")
      ->capture_default_str();
  command.add_option("--rest-time", choices.rest_time, "How long the engine stood: what can drain back does")
      ->capture_default_str();
  add_faults_option(command, choices.faults);
}

double rested_share(const std::string& volts, const Circuit& circuit) {
  return read_option(volts, rested_range, "--rested-battery") / circuit.starter.voltage;
}

ChosenEngine chosen_engine(const EngineChoices& choices) {
  ChosenEngine engine;
  engine.healthy = read_circuit(data_file(choices.circuit));
  for (const std::string& text : choices.faults) engine.faults.push_back(parse_fault(text, engine.healthy));
  engine.circuit = with_faults(engine.healthy, engine.faults);
  Condition& condition = engine.condition;
  condition.oil = choices.oil;
  condition.oil_temperature =
      read_option(choices.oil_temperature, condition_range::oil_temperature, "--oil-temperature");
  condition.battery = Profile(read_option(choices.battery, condition_range::battery, "--battery"));
  condition.rest_air = read_option(choices.rest_air, condition_range::rest_air, "--rest-air");
  condition.rest_time = read_option(choices.rest_time, condition_range::rest_time, "--rest-time");
  if (!choices.rested_battery.empty())
    condition.battery_charge = rested_share(choices.rested_battery, engine.healthy);
  else if (!choices.speed.empty())
    condition.speed = Profile(read_option(choices.speed, condition_range::speed, "--speed"));
  return engine;
}

double read_duration(const std::string& text, const char* option, double longest, const char* why) {
  const double duration = read_option(text, Quantity::time, option);
  if (duration > 0 && duration <= longest) return duration;
  throw Error(option, "the time is out of range",
              "write up to " + format_quantity(longest, Quantity::time, "s") + " (" + why + ")");
}

void print_engine(std::ostream& text, const ChosenEngine& engine, const ShownUnits& units, bool sealed) {
  text << engine.healthy.name << ", " << (engine.condition.oil.empty() ? engine.healthy.oil : engine.condition.oil)
       << " at " << format_quantity(engine.condition.oil_temperature, Quantity::temperature, units.temperature, 3)
       << "\n";
  if (sealed) return;
  for (const Fault& fault : engine.faults) text << "  fault: " << fault_text(fault, engine.healthy) << "\n";
  if (engine.faults.empty()) text << "  no fault\n";
}

Json engine_json(const ChosenEngine& engine, bool sealed) {
  Json json{{"circuit", engine.healthy.name},
            {"oil", engine.condition.oil.empty() ? engine.healthy.oil : engine.condition.oil},
            {"oil_temperature_K", engine.condition.oil_temperature}};
  if (sealed) return json;
  json["faults"] = Json::array();
  for (const Fault& fault : engine.faults) json["faults"].push_back(fault_text(fault, engine.healthy));
  return json;
}

void add_curve_files(CLI::App& command, CurveChoices& choices) {
  command.add_option("--trace", choices.trace, "CSV file for the curves; - is standard output");
  command.add_option("--plot", choices.plot, "SVG file for a picture of the curves; - is standard output");
}

void add_curve_options(CLI::App& command, CurveChoices& choices) {
  add_curve_files(command, choices);
  command.add_flag("--sealed", choices.sealed,
                   "Leave out what gives the fault away: only what a scan tool would show, in text and files");
}

Trace as_logged(const Trace& trace) {
  Trace logged{trace.time, {}};
  for (const std::string_view name : logged_channels)
    if (trace.has(name)) logged.channels.push_back(trace.find(name));
  return logged;
}

void give_curves(Output& out, const CurveChoices& choices, const Trace& trace, const std::string& title) {
  if (out.speaks() && isatty(STDOUT_FILENO)) sketch(out, trace);
  if (!choices.trace.empty())
    out.file("curves", choices.trace, trace_csv(choices.sealed ? as_logged(trace) : trace, out.unit_of()));
  if (!choices.plot.empty()) out.file("picture", choices.plot, picture(trace, title, out.units()));
}

}  // namespace railseep
