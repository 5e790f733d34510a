#include "procedure/air_run.hpp"

#include "procedure/integration.hpp"
#include "quantity/error.hpp"

namespace railseep {

AirRun::AirRun(AirNetwork network, AirNetwork::State start, double output_interval, double tolerance)
    : network_(std::move(network)),
      interval_(output_interval),
      stepper_([this, tolerance](const auto&, const auto& after, auto& scale) {
        network_.tolerances(after, tolerance, scale);
      }) {
  stepper_.describe_trouble([this](const StepTrouble& trouble) {
    return Error("t = " + std::to_string(trouble.time) + " s",
                 "\"" + network_.name_of_state(static_cast<int>(trouble.worst)) +
                     (trouble.finite ? "\" needs steps below " + format_quantity(trouble.step, Quantity::time, "us", 2)
                                     : "\" changes by what is not a number"),
                 "look at the volumes and sizes there");
  });
  stepper_.set_budget(circuit_budget);
  stepper_.initialize(start, 0, 1e-4);
  const auto add = [&](const std::string& name, Quantity quantity) { trace_.channels.push_back({name, quantity, {}}); };
  const Circuit& circuit = network_.circuit();
  add("gauge pressure", Quantity::pressure), add("coil current", Quantity::current),
      add("air supplied", Quantity::mass_flow);
  for (const Node& node : circuit.nodes)
    if (!node.tank) add(node.name + " pressure", Quantity::pressure);
  for (const Link& link : circuit.links) add(link.name + " air", Quantity::mass_flow);
  for (const Link& link : circuit.links) add(link.name + " wetness", Quantity::ratio);
}

void AirRun::set_signals(const AirSignals& signals) {
  signals_ = signals;
  signals_since_ = time();
  stepper_.restart();
}

AirSignals AirRun::signals_at(double t) const {
  AirSignals now = signals_;
  now.supply_pressure += now.supply_rate * (t - signals_since_);
  return now;
}

double AirRun::fall_to(double gauge_pressure, double duration) {
  const double begins = time(), ends = begins + duration;
  if (!(duration > 0)) return 0;
  const auto system = std::pair(
      [this](const AirNetwork::State& x, AirNetwork::State& dxdt, double t) { network_.rates(x, signals_at(t), dxdt); },
      [this](const AirNetwork::State& x, Eigen::SparseMatrix<double>& jacobian, double t, AirNetwork::State& by_time) {
        network_.jacobian(x, signals_at(t), jacobian, by_time);
      });
  if (next_output_ <= begins && trace_.time.empty()) record(begins, stepper_.current_state());
  stepper_.set_limit(ends);
  AirNetwork::State state;
  while (time() < ends) {
    stepper_.do_step(std::ref(system));
    const bool crossed =
        gauge_of(stepper_.current_state()) <= gauge_pressure && gauge_of(stepper_.previous_state()) > gauge_pressure;
    const double until = crossed ? crossing(gauge_pressure) : time();
    while (next_output_ <= until) {
      stepper_.calc_state(next_output_, state);
      record(next_output_, state);
    }
    if (!crossed) continue;
    stepper_.calc_state(until, state);
    stepper_.initialize(state, until, stepper_.current_time_step());
    return until - begins;
  }
  return duration;
}

/// When the gauge passes a pressure within the last step.
double AirRun::crossing(double gauge_pressure) const {
  double before = stepper_.previous_time(), after = stepper_.current_time();
  AirNetwork::State state;
  for (int i = 0; i < 50; ++i) {
    const double t = 0.5 * (before + after);
    stepper_.calc_state(t, state);
    (gauge_of(state) > gauge_pressure ? before : after) = t;
  }
  return after;
}

void AirRun::record(double t, const AirNetwork::State& state) {
  const AirSignals now = signals_at(t);
  std::size_t column = 0;
  const auto put = [&](double value) { trace_.channels[column++].value.push_back(value); };
  trace_.time.push_back(t);
  put(gauge_of(state)), put(now.coil_current), put(network_.supplied(state, now));
  const Circuit& circuit = network_.circuit();
  for (int i = 0; i < static_cast<int>(circuit.nodes.size()); ++i)
    if (!circuit.nodes[i].tank) put(network_.pressure(state, i) - atmospheric_pressure);
  for (int i = 0; i < static_cast<int>(circuit.links.size()); ++i) put(network_.flow(state, now, i));
  for (int i = 0; i < static_cast<int>(circuit.links.size()); ++i) put(network_.wetness(state, i));
  next_output_ = static_cast<double>(trace_.time.size()) * interval_;
}

}  // namespace railseep
