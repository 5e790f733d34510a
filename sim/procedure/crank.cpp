#include "procedure/crank.hpp"

#include <algorithm>
#include <numeric>

#include "procedure/cranking.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {

namespace {

/// Writes the rows of a trace as the solver passes their times.
class Recorder {
 public:
  Recorder(const Cranking& cranking, const Condition& condition, const CrankOptions& options)
      : cranking_(cranking), condition_(condition), all_(!options.pressure_only), times_(options.output_times) {
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
    put(cranking_.actual(state)), put(cranking_.wanted()), put(cranking_.duty_at(t)), put(cranking_.current(state)), put(signals.speed);
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
  std::vector<double> times_;
  std::size_t next_ = 0, column_ = 0;
  Trace trace_;
};

double late_mean(const Trace& trace, std::string_view name) {
  const std::vector<double>& value = trace.find(name).value;
  const auto first = std::lower_bound(trace.time.begin(), trace.time.end(), 0.8 * trace.time.back()) - trace.time.begin();
  return std::accumulate(value.begin() + first, value.end(), 0.0) / static_cast<double>(value.size() - first);
}

}  // namespace

CrankResult crank(const Circuit& circuit, const Condition& condition, const CrankOptions& options) {
  Cranking cranking(circuit, condition, options);
  Recorder recorder(cranking, condition, options);
  DenseRosenbrock<> stepper([&](const auto& before, const auto& after, auto& scale) {
    cranking.network().tolerances(before, after, options.tolerance, scale);
  });
  stepper.describe_trouble([&](const StepTrouble& trouble) { return cranking.describe(trouble); });
  const auto system = std::pair([&](const auto& x, auto& dxdt, double t) { cranking.rates(x, dxdt, t); },
                                [&](const auto& x, auto& jacobian, double t, auto& by_time, auto& dxdt) { cranking.jacobian(x, jacobian, t, by_time, dxdt); });

  Network::State state = cranking.start();
  stepper.initialize(state, 0, 1e-4);
  while (stepper.current_time() < options.duration) {
    const double t = stepper.current_time(), stop = cranking.next_stop(t);
    cranking.sample(t, stepper.current_state());
    if (t == 0)
      while (recorder.due(0)) recorder.record(stepper.current_state());
    stepper.set_limit(stop);
    stepper.restart();
    do {
      stepper.do_step(std::ref(system));
      while (recorder.due(stepper.current_time())) {
        stepper.calc_state(recorder.next_time(), state);
        recorder.record(state);
      }
    } while (stepper.current_time() < stop);
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
