#include "procedure/crank.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "circuit/network.hpp"
#include "drive/control_module.hpp"
#include "fluid/grade.hpp"
#include "quantity/error.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {

namespace {

/// The circuit while it is cranked: its network, and what reaches it from outside at any time.
class Cranking {
 public:
  Cranking(const Circuit& circuit, const Condition& condition, const CrankOptions& options)
      : network_(circuit, oil_at(find_oil_grade(condition.oil.empty() ? circuit.oil : condition.oil), condition.oil_temperature)),
        condition_(condition),
        measured_duty_(options.duty),
        sensor_(circuit.only<Sensor>()),
        regulator_(circuit.only<Regulator>()) {
    if (sensor_ < 0) throw Error(circuit.name, "the circuit has no pressure sensor", "add a link of kind \"sensor\"");
    if (condition.speed.empty()) throw Error("condition", "no cranking speed is given", "give one such as \"170 rpm\"");
  }

  const Network& network() const { return network_; }
  double duty() const { return duty_; }

  /// The duty holds until it is set again; with a measured one it follows the measurement.
  void set_duty(double t, double duty) {
    duty_ = duty;
    held_voltage_ = duty * condition_.battery.at(t);
  }

  Signals<double> signals(double t) const {
    return {condition_.speed.at(t), measured_duty_ ? measured_duty_->at(t) * condition_.battery.at(t) : held_voltage_};
  }

  Signals<double> signal_rates(double t) const {
    double voltage = 0;
    if (measured_duty_)
      voltage = measured_duty_->slope_at(t) * condition_.battery.at(t) + measured_duty_->at(t) * condition_.battery.slope_at(t);
    return {condition_.speed.slope_at(t), voltage};
  }

  double shown(const Network::State& state) const {
    const auto& sensor = std::get<Sensor>(network_.circuit().links[sensor_].element);
    return sensor.shown_pressure(network_.own(state, sensor_, 0));
  }

  double actual(const Network::State& state) const {
    return network_.view(state, network_.circuit().links[sensor_].from).pressure - atmospheric_pressure;
  }

  double current(const Network::State& state) const { return regulator_ < 0 ? 0 : network_.own(state, regulator_, 0); }

  double duty_at(double t) const { return measured_duty_ ? measured_duty_->at(t) : duty_; }

 private:
  Network network_;
  Condition condition_;
  std::optional<Profile> measured_duty_;
  int sensor_, regulator_;
  double duty_ = 0, held_voltage_ = 0;
};

/// Writes the rows of a trace as the solver passes their times.
class Recorder {
 public:
  Recorder(const Cranking& cranking, const Condition& condition, const CrankOptions& options, double wanted)
      : cranking_(cranking), condition_(condition), all_(!options.pressure_only), wanted_(wanted), times_(options.output_times) {
    if (times_.empty())
      for (int i = 0; i * options.output_interval <= options.duration * (1 + 1e-12); ++i) times_.push_back(i * options.output_interval);
    add(shown_pressure, Quantity::pressure);
    if (!all_) return;
    add(rail_pressure, Quantity::pressure), add(wanted_pressure, Quantity::pressure), add(regulator_duty, Quantity::ratio);
    add(coil_current, Quantity::current), add(engine_speed, Quantity::speed), add(battery_voltage, Quantity::voltage);
    const Circuit& circuit = cranking.network().circuit();
    for (const Node& node : circuit.nodes)
      if (!node.tank) add(node.name + " pressure", Quantity::pressure);
    for (const Link& link : circuit.links)
      if (!std::holds_alternative<Sensor>(link.element)) add(link.name + " flow", Quantity::volume_flow);
  }

  bool due(double t) const { return next_ < times_.size() && times_[next_] <= t; }
  double next_time() const { return times_[next_]; }

  void record(const Network::State& state) {
    const double t = times_[next_++];
    trace_.time.push_back(t);
    column_ = 0;
    put(cranking_.shown(state));
    if (!all_) return;
    const Signals<double> signals = cranking_.signals(t);
    put(cranking_.actual(state)), put(wanted_), put(cranking_.duty_at(t)), put(cranking_.current(state)), put(signals.speed);
    put(condition_.battery.at(t));
    const Network& network = cranking_.network();
    const Circuit& circuit = network.circuit();
    for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
      if (!circuit.nodes[i].tank) put(network.view(state, static_cast<int>(i)).pressure - atmospheric_pressure);
    for (std::size_t i = 0; i < circuit.links.size(); ++i)
      if (!std::holds_alternative<Sensor>(circuit.links[i].element)) put(network.volume_flow(state, signals, static_cast<int>(i)));
  }

  Trace take() { return std::move(trace_); }

 private:
  void add(std::string_view name, Quantity quantity) { trace_.channels.push_back({std::string(name), quantity, {}}); }
  void put(double value) { trace_.channels[column_++].value.push_back(value); }

  const Cranking& cranking_;
  const Condition& condition_;
  bool all_;
  double wanted_;
  std::vector<double> times_;
  std::size_t next_ = 0, column_ = 0;
  Trace trace_;
};

/// Times at which a signal bends: the solver must not step over them.
std::vector<double> corners(const Condition& condition, const CrankOptions& options) {
  std::vector<double> all;
  const auto take = [&](const Profile& profile) { all.insert(all.end(), profile.corners().begin(), profile.corners().end()); };
  take(condition.speed);
  if (options.duty) take(*options.duty), take(condition.battery);
  all.push_back(options.duration);
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

double late_mean(const Trace& trace, std::string_view name) {
  const std::vector<double>& value = trace.find(name).value;
  const auto first = std::lower_bound(trace.time.begin(), trace.time.end(), 0.8 * trace.time.back()) - trace.time.begin();
  return std::accumulate(value.begin() + first, value.end(), 0.0) / static_cast<double>(value.size() - first);
}

}  // namespace

CrankResult crank(const Circuit& circuit, const Condition& condition, const CrankOptions& options) {
  Cranking cranking(circuit, condition, options);
  const Network& network = cranking.network();
  ControlModule module(circuit.control, condition.oil_temperature);
  Recorder recorder(cranking, condition, options, module.wanted());

  DenseRosenbrock<> stepper([&](const auto& before, const auto& after, auto& scale) { network.tolerances(before, after, options.tolerance, scale); });
  stepper.describe_trouble([&](const StepTrouble& trouble) {
    return Error("t = " + std::to_string(trouble.time) + " s",
                 "\"" + network.name_of_state(static_cast<int>(trouble.worst)) + "\" needs steps below " + format_quantity(trouble.step, Quantity::time, "us", 2),
                 "look at the volumes and sizes there");
  });
  const auto system = std::pair(
      [&](const Network::State& x, Network::State& dxdt, double t) { network.rates(x, cranking.signals(t), dxdt); },
      [&](const Network::State& x, Eigen::MatrixXd& jacobian, double t, Network::State& by_time, Network::State& dxdt) {
        network.jacobian(x, cranking.signals(t), cranking.signal_rates(t), jacobian, by_time, dxdt);
      });

  Network::State state = network.rest(std::vector<double>(circuit.nodes.size(), condition.rest_air));
  stepper.initialize(state, 0, 1e-4);
  const std::vector<double> stops = corners(condition, options);
  double next_sample = 0;
  while (stepper.current_time() < options.duration) {
    const double t = stepper.current_time();
    if (!options.duty && t >= next_sample) {
      cranking.set_duty(t, module.sample(cranking.shown(stepper.current_state())));
      next_sample = circuit.control.sample_time * (1 + std::round(t / circuit.control.sample_time));
    }
    if (t == 0)
      while (recorder.due(0)) recorder.record(stepper.current_state());
    const double corner = *std::upper_bound(stops.begin(), stops.end(), t);
    stepper.set_limit(options.duty ? corner : std::min(corner, next_sample));
    stepper.restart();
    do {
      stepper.do_step(std::ref(system));
      while (recorder.due(stepper.current_time())) {
        stepper.calc_state(recorder.next_time(), state);
        recorder.record(state);
      }
    } while (stepper.current_time() < std::min(options.duty ? corner : std::min(corner, next_sample), options.duration));
  }
  return {recorder.take(), stepper.counters()};
}

CrankSummary summarise(const Circuit& circuit, const Trace& trace) {
  CrankSummary summary;
  const std::vector<double>& shown = trace.find(shown_pressure).value;
  const ControlModule module(circuit.control, 300);
  for (std::size_t i = 0; i < shown.size(); ++i) {
    summary.peak = std::max(summary.peak, shown[i]);
    if (!summary.time_to_enable && shown[i] >= circuit.control.enable_pressure) summary.time_to_enable = trace.time[i];
    summary.injection_enabled |= module.enables_injection(trace.time[i], shown[i]);
  }
  summary.plateau = late_mean(trace, shown_pressure);
  summary.duty = late_mean(trace, regulator_duty);
  return summary;
}

OilBalance balance(const Circuit& circuit, const Trace& trace) {
  OilBalance result;
  double used = 0;
  for (const Link& link : circuit.links) {
    if (std::holds_alternative<Sensor>(link.element)) continue;
    const double flow = late_mean(trace, link.name + " flow");
    if (const Pump* pump = std::get_if<Pump>(&link.element)) {
      const double displaced = pump->displaced(Signals<double>{late_mean(trace, engine_speed), 0});
      result.displaced += displaced;
      result.slip += displaced - flow;
    } else if (circuit.nodes[link.to].tank) {
      result.uses.push_back({link.name, flow});
      used += flow;
    }
  }
  result.stored = result.displaced - result.slip - used;
  return result;
}

}  // namespace railseep
