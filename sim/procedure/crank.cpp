#include "procedure/crank.hpp"

#include <algorithm>
#include <numeric>

#include "procedure/cranking.hpp"
#include "procedure/integration.hpp"
#include "procedure/recorder.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

double late_mean(const Trace& trace, std::string_view name) {
  const std::vector<double>& value = trace.find(name).value;
  const auto first =
      std::lower_bound(trace.time.begin(), trace.time.end(), 0.8 * trace.time.back()) - trace.time.begin();
  return std::accumulate(value.begin() + first, value.end(), 0.0) / static_cast<double>(value.size() - first);
}

}  // namespace

CrankResult crank(const Circuit& circuit, const Condition& condition, const CrankOptions& options) {
  Cranking cranking(circuit, condition, options);
  Integration integration(cranking.side(), cranking.start(), options.tolerance);
  Recorder recorder(cranking.side(), options.pressure_only ? Recorder::Keep::pressure_only : Recorder::Keep::crank,
                    options.output_times.empty() ? Recorder::even_times(options.output_interval, options.duration)
                                                 : options.output_times);
  recorder.set_wanted(cranking.wanted());
  const Integration::Take take = [&](double t, const Network::State& state) { return recorder.record(t, state); };
  while (integration.time() < options.duration) {
    const double t = integration.time(), stop = cranking.next_stop(t);
    cranking.sample(t, integration.state());
    while (recorder.next_time() <= t) recorder.record(recorder.next_time(), integration.state());
    integration.advance(stop, recorder.next_time(), take);
  }
  return {recorder.take(), integration.counters()};
}

CrankSummary summarise(const Circuit& circuit, const Trace& trace) {
  CrankSummary summary;
  const std::vector<double>& shown = trace.find(signal::shown_pressure).value;
  const ControlModule module(circuit.control, 300);
  for (std::size_t i = 0; i < shown.size(); ++i) {
    summary.peak = std::max(summary.peak, shown[i]);
    if (!summary.time_to_enable && shown[i] >= circuit.control.enable_pressure) summary.time_to_enable = trace.time[i];
    summary.injection_enabled |= circuit.engine.synchronised > 0.5 && module.enables_injection(trace.time[i], shown[i]);
  }
  summary.plateau = late_mean(trace, signal::shown_pressure);
  summary.duty = late_mean(trace, signal::regulator_duty);
  return summary;
}

namespace {

/// Nodes that the high-pressure pump fills: what leaves them into a tank is a use of its oil.
std::vector<bool> fed_by_pump(const Circuit& circuit) {
  std::vector<bool> fed(circuit.nodes.size(), false);
  const int pump = circuit.only<Pump>();
  if (pump < 0) return std::vector<bool>(circuit.nodes.size(), true);
  fed[circuit.links[pump].to] = true;
  for (bool grew = true; grew;) {
    grew = false;
    for (const Link& link : circuit.links) {
      if (std::holds_alternative<Pump>(link.element) || circuit.nodes[link.from].tank || circuit.nodes[link.to].tank)
        continue;
      if (fed[link.from] != fed[link.to]) fed[link.from] = fed[link.to] = grew = true;
    }
  }
  return fed;
}

}  // namespace

OilBalance balance(const Circuit& circuit, const Trace& trace) {
  const std::vector<bool> fed = fed_by_pump(circuit);
  OilBalance result;
  double used = 0;
  for (const Link& link : circuit.links) {
    if (std::holds_alternative<Sensor>(link.element)) continue;
    const double flow = late_mean(trace, link.name + " flow");
    if (const Pump* pump = std::get_if<Pump>(&link.element)) {
      const double displaced = pump->displaced(Signals<double>{late_mean(trace, signal::engine_speed), 0});
      result.displaced += displaced;
      result.slip += displaced - flow;
    } else if (circuit.nodes[link.to].tank && fed[link.from]) {
      result.uses.push_back({link.name, flow});
      used += flow;
    }
  }
  result.stored = result.displaced - result.slip - used;
  return result;
}

}  // namespace railseep
