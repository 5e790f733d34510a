#include "procedure/recorder.hpp"

#include <limits>

namespace railseep {

Recorder::Recorder(const OilSide& side, Keep keep, std::vector<double> times)
    : side_(side), keep_(keep), times_(std::move(times)) {
  trace_.time.reserve(times_.size());
  add(signal::shown_pressure, Quantity::pressure);
  if (keep_ == Keep::pressure_only) return;
  add(signal::rail_pressure, Quantity::pressure), add(signal::wanted_pressure, Quantity::pressure),
      add(signal::regulator_duty, Quantity::ratio);
  add(signal::coil_current, Quantity::current), add(signal::engine_speed, Quantity::speed),
      add(signal::battery_voltage, Quantity::voltage);
  if (keep_ == Keep::run)
    add(signal::sensor_volts, Quantity::voltage), add(signal::oil_temperature, Quantity::temperature),
        add(signal::coil_temperature, Quantity::temperature), add(signal::injector_pulse, Quantity::time);
  const Circuit& circuit = side.circuit();
  for (const Node& node : circuit.nodes)
    if (!node.tank) add(node.name + " pressure", Quantity::pressure);
  for (const Link& link : circuit.links)
    if (!std::holds_alternative<Sensor>(link.element)) add(link.name + " flow", Quantity::volume_flow);
}

std::vector<double> Recorder::even_times(double interval, double duration) {
  std::vector<double> times;
  for (int i = 0; i * interval <= duration * (1 + 1e-12); ++i) times.push_back(i * interval);
  return times;
}

double Recorder::next_time() const {
  return next_ < times_.size() ? times_[next_] : std::numeric_limits<double>::infinity();
}

void Recorder::skip_to(double t) {
  while (next_ < times_.size() && times_[next_] < t) ++next_;
}

double Recorder::record(double t, const Network::State& state) {
  ++next_;
  trace_.time.push_back(t);
  column_ = 0;
  put(side_.shown(state));
  if (keep_ == Keep::pressure_only) return next_time();
  const Signals<double> signals = side_.signals(t);
  put(side_.actual(state)), put(wanted_), put(side_.duty(t)), put(side_.current(state)), put(signals.speed),
      put(side_.battery(t));
  const Network& network = side_.network();
  if (keep_ == Keep::run)
    put(side_.volts(state)), put(network.oil().temperature), put(coil_temperature_), put(signals.pulse);
  const Circuit& circuit = network.circuit();
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
    if (!circuit.nodes[i].tank) put(network.view(state, static_cast<int>(i)).pressure - atmospheric_pressure);
  for (std::size_t i = 0; i < circuit.links.size(); ++i)
    if (!std::holds_alternative<Sensor>(circuit.links[i].element))
      put(network.volume_flow(state, signals, static_cast<int>(i)));
  return next_time();
}

}  // namespace railseep
