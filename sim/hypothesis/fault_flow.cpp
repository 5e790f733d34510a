#include "hypothesis/fault_flow.hpp"

#include <algorithm>

namespace railseep {

namespace {

std::optional<double> flow_of(const Circuit& circuit, const Oil& oil, const Fault& fault) {
  const Circuit faulty = with_faults(circuit, std::vector{fault});
  const Ports<double> port{atmospheric_pressure + reference_pressure, atmospheric_pressure, {0, 0}};
  const FaultKind& kind = kind_of(fault, circuit);
  if (kind.change == FaultKind::Change::opens_leak)
    return std::visit([&](const auto& e) { return e.volume_flow(port, Signals<double>{}, oil); },
                      faulty.links.back().element);
  if (kind.law != FaultKind::Law::film) return std::nullopt;
  const int link = faulty.find_link(fault.place);
  const Pump* worn = std::get_if<Pump>(&faulty.links[link].element);
  if (!worn) return std::nullopt;
  const Ports<double> across{port.to, port.from, {0, 0}};
  return worn->slipped(across, oil) - std::get<Pump>(circuit.links[link].element).slipped(across, oil);
}

}  // namespace

std::optional<double> fault_flow(const Circuit& circuit, const std::vector<CrankEvidence>& logs, const FaultFit& fit) {
  if (logs.empty()) return std::nullopt;
  const auto hottest =
      std::ranges::max_element(logs, {}, [](const CrankEvidence& log) { return log.condition.oil_temperature; });
  const Oil oil = oil_of(circuit, hottest->condition);
  std::optional<double> sum;
  for (const Fault& fault : fit.faults())
    if (const std::optional<double> flow = flow_of(circuit, oil, fault)) sum = sum.value_or(0) + *flow;
  return sum;
}

}  // namespace railseep
