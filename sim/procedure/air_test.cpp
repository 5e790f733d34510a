#include "procedure/air_test.hpp"

#include <algorithm>
#include <map>

#include "hearing/jet_noise.hpp"
#include "procedure/air_run.hpp"
#include "procedure/coil_test.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

void check(const AirTestOptions& o) {
  if (!(o.pressure > 0 && o.pressure <= most_air_pressure * (1 + 1e-12)))
    throw Error("air pressure", format_quantity(o.pressure, Quantity::pressure, "psi") + " is refused",
                "use up to 120 psi: above it plugs and fittings can be thrown out with the energy of the stored air, "
                "and seals that only lift at hundreds of psi still stay silent");
  if (!(o.hold_to > 0 && o.hold_from > o.hold_to))
    throw Error("hold", "the two gauge pressures do not fall",
                "write a higher and a lower one, such as 90 psi and 50 psi");
  if (!(o.temperature >= 233 && o.temperature <= 423))
    throw Error("temperature", "it is out of range", "write -40 degC to 150 degC");
  if (!(o.ramp_time > 0 && o.purge_time >= 0 && o.purge_time <= 3600 && o.hold_limit > 0 && o.hold_limit <= 3600))
    throw Error("times", "a time is out of range", "write up to 1 h");
  if (!(o.exponent >= 1 && o.exponent <= 1.4))
    throw Error("exponent", "it is out of range", "write 1 (isothermal) to 1.4 (adiabatic)");
  if (!(o.pulse > 0 && o.pulse <= longest_coil_time))
    throw Error("coil time", format_quantity(o.pulse, Quantity::time, "s") + " is refused",
                "energise for up to 10 s at one go, 5 s on and 30 s off unless the maker says otherwise");
}

int feed_node(const Circuit& circuit, const std::string& feed) {
  if (!feed.empty()) return circuit.find_node(feed);
  const int sensor = circuit.only<Sensor>();
  if (sensor < 0)
    throw Error(circuit.name, "the circuit has no pressure sensor to feed air through",
                "name the node with the feed point");
  return circuit.links[sensor].from;
}

/// Whether air fed at a node can get to another one: through everything between volumes, but check valves one way only.
bool reaches(const Circuit& circuit, int feed, int wanted) {
  std::vector<int> reached{feed};
  for (std::size_t i = 0; i < reached.size(); ++i)
    for (const Link& link : circuit.links) {
      const bool one_way = std::holds_alternative<CheckValve>(link.element);
      const int next = link.from == reached[i] ? link.to : link.to == reached[i] && !one_way ? link.from : -1;
      if (next >= 0 && !circuit.nodes[next].tank && !circuit.nodes[next].reservoir &&
          std::find(reached.begin(), reached.end(), next) == reached.end())
        reached.push_back(next);
    }
  return std::find(reached.begin(), reached.end(), wanted) != reached.end();
}

/// Site and access group that a link belongs to, in the words of the circuit file.
std::pair<std::string, std::string> place_of(const Circuit& circuit, const Link& link) {
  for (const Site& site : circuit.sites)
    if (link.name.starts_with(site.name + ": ")) return {site.name, site.access};
  return {link.name, link.access};
}

/// Air that goes out of the circuit through a link [kg/s], and the pressure it comes from; nothing for a link between
/// volumes.
double outflow(const AirRun& run, int index, double& inside) {
  const AirNetwork& network = run.network();
  const Circuit& circuit = network.circuit();
  const Link& link = circuit.links[index];
  const bool from_tank = circuit.nodes[link.from].tank, to_tank = circuit.nodes[link.to].tank;
  if (from_tank == to_tank) return 0;
  inside = network.pressure(run.state(), from_tank ? link.to : link.from);
  const double flow = network.flow(run.state(), run.signals(), index);
  return from_tank ? -flow : flow;
}

SoundSource sound_of(const AirNetwork& network, const Link& link, const AirLeak& leak, double inside) {
  const double temperature = network.temperature(), rt = Air::gas_constant * temperature;
  JetShape shape = jet_shape(link.element);
  double upstream = inside, size;
  if (shape.nozzle > 0) {
    // Noise scale of a slit h^(3/4)*w^(1/4): Munro & Ahuja, AIAA 2003-3255 (from memory).
    upstream = exit_pressure(leak.flow, shape.nozzle, inside, atmospheric_pressure, temperature);
    size = std::pow(shape.height, 0.75) * std::pow(shape.width, 0.25);
  } else {
    const double area = leak.flow * std::sqrt(rt) / (upstream * nozzle_function(atmospheric_pressure / upstream));
    size = std::sqrt(4.0 * area / std::numbers::pi);
  }
  const JetNoise noise = jet_noise({leak.flow, upstream, atmospheric_pressure, upstream / rt, Air::gamma, size, 1});
  SoundSource source{leak.place, leak.access, {}, leak.wetness};
  for (int i = 0; i < band_count; ++i)
    source.power[i] =
        noise.power > 0 ? power_level(noise.power) + jet_band_level(band_centre(i), noise.peak_frequency) : -300;
  return source;
}

/// Reads the gauge and the flows and listens, now.
AirPass listen(const AirRun& run, const AirTestOptions& options) {
  AirPass pass;
  const AirNetwork& network = run.network();
  const Circuit& circuit = network.circuit();
  pass.gauge = run.gauge();
  pass.supplied = network.supplied(run.state(), run.signals());
  std::vector<SoundSource> sources;
  for (int i = 0; i < static_cast<int>(circuit.links.size()); ++i) {
    const Link& link = circuit.links[i];
    double inside = 0;
    const double flow = outflow(run, i, inside);
    if (!(flow > 1e-12)) continue;
    const auto [place, access] = place_of(circuit, link);
    pass.leaks.push_back({link.name, place, access, flow, network.wetness(run.state(), i)});
    sources.push_back(sound_of(network, link, pass.leaks.back(), inside));
  }
  pass.heard = hear(sources, circuit.listening, find_ear_tool(options.ear), options.extra_room_noise);
  return pass;
}

/// Shuts the air and times the fall.
void hold(AirRun& run, AirPass& pass, const AirTestOptions& options, double limit) {
  AirSignals signals = run.signals();
  signals.valve_open = false;
  signals.supply_rate = 0;
  run.set_signals(signals);
  run.set_exponent(options.exponent);
  pass.gauge_reached = run.gauge() >= options.hold_from;
  const double first = run.fall_to(options.hold_from, limit);
  const double second = pass.gauge_reached ? run.fall_to(options.hold_to, limit - first) : 0;
  if (!pass.gauge_reached) run.advance(limit - first);
  if (pass.gauge_reached && run.gauge() <= options.hold_to * (1 + 1e-9)) pass.decay = second;
  pass.hold_time = pass.gauge_reached ? second : limit;
  pass.hold_end = run.gauge();
  run.set_exponent(1);
}

void open_air(AirRun& run, double pressure, double current) {
  run.set_signals({atmospheric_pressure + pressure, current, 0, true});
}

/// Current through the coil at the end of a pulse, and how warm it is then. Two pulses: one to listen, one to time the
/// fall.
std::pair<double, double> coil_at_end(const Circuit& circuit, const AirTestOptions& options) {
  const int index = circuit.only<Regulator>();
  if (index < 0 || !options.coil_connected) return {0, options.temperature};
  const auto& regulator = std::get<Regulator>(circuit.links[index].element);
  CoilSchedule schedule;
  schedule.voltage = regulator.mean_voltage(1, options.battery);  // what the wiring lets through
  schedule.duty = options.energise == Energised::by_tool ? tool_duty : 1;
  schedule.ambient = options.temperature;
  schedule.on = options.pulse, schedule.off = options.rest, schedule.pulses = 2;
  const CoilResult coil = coil_test(coil_of(regulator), schedule);
  return {coil_of(regulator).current(schedule.duty * schedule.voltage, coil.hottest), coil.hottest};
}

}  // namespace

const HeardPoint& AirPass::at(const std::string& point) const {
  std::string listed;
  for (const HeardPoint& p : heard) {
    if (p.name == point) return p;
    listed += (listed.empty() ? "\"" : ", \"") + p.name + "\"";
  }
  throw Error("", "there is no listening point \"" + point + "\"",
              listed.empty() ? "add a \"listening\" section to the circuit file" : "name one of " + listed);
}

double AirPass::flow_of(const std::string& place) const {
  double sum = 0;
  for (const AirLeak& leak : leaks)
    if (leak.place == place) sum += leak.flow;
  return sum;
}

AirTestResult air_test(const Circuit& circuit, const AirTestOptions& options) {
  check(options);
  const int feed = feed_node(circuit, options.feed);
  AirTestResult result;
  result.feed = circuit.nodes[feed].name;
  AirNetwork network(circuit, options.supply, feed, options.temperature, options.wetting);
  result.closed_links = network.closed_links();
  const AirNetwork::State start = network.rest(options.residual_oil);
  AirRun run(std::move(network), start, options.output_interval, options.tolerance);

  // First pass: the regulator is not energised.
  run.set_signals({atmospheric_pressure, 0, options.pressure / options.ramp_time, true});
  run.advance(options.ramp_time);
  open_air(run, options.pressure, 0);
  run.advance(options.purge_time);
  result.open = listen(run, options);
  const int regulator = circuit.only<Regulator>();
  result.reaches_regulator = regulator >= 0 && reaches(circuit, feed, circuit.links[regulator].from);
  if (options.timed) hold(run, result.open, options, options.hold_limit);
  result.open.coil_temperature = options.temperature;
  if (options.energise == Energised::no) {
    result.trace = run.take();
    return result;
  }

  // Second pass: one pulse to listen; where the fall is timed a rest, and one more pulse for it.
  const auto [current, hottest] = coil_at_end(circuit, options);
  open_air(run, options.pressure, 0);
  run.advance(options.rest);
  open_air(run, options.pressure, current);
  run.advance(options.pulse);
  AirPass shut = listen(run, options);
  if (options.timed) {
    open_air(run, options.pressure, 0);
    run.advance(options.rest);
    const double settle = 0.3 * options.pulse;  // of the pulse, until the gauge has come up; the rest is for the fall
    open_air(run, options.pressure, current);
    run.advance(settle);
    hold(run, shut, options, options.pulse - settle);
  }
  shut.energised = true;
  shut.coil_temperature = hottest;
  result.shut = std::move(shut);
  result.trace = run.take();
  return result;
}

std::vector<std::pair<std::string, double>> flow_by_access(const AirPass& pass) {
  std::map<std::string, double> sums;
  for (const AirLeak& leak : pass.leaks) sums[leak.access] += leak.flow;
  std::vector<std::pair<std::string, double>> sorted(sums.begin(), sums.end());
  std::stable_sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
  return sorted;
}

}  // namespace railseep
