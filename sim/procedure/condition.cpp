#include "procedure/condition.hpp"

#include <algorithm>
#include <cmath>

#include "fluid/grade.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

/// Flow that a link lets back, from its second node to its first, under a small head [m3/s].
double flow_back(const Link& link, double head, const Oil& oil) {
  const Ports<double> port{atmospheric_pressure, atmospheric_pressure + head, {0, 0}};
  const Signals<double> still{0, 0};
  return std::abs(std::visit([&](const auto& element) { return element.volume_flow(port, still, oil); }, link.element));
}

double drained(const Circuit& circuit, const Node& node, const Oil& oil, double rest_time) {
  if (node.drains_through.empty() || rest_time <= 0 || node.drain_share <= 0) return 0;
  const double head = oil.density * 9.80665 * node.drain_height;
  const double back = flow_back(circuit.links[circuit.find_link(node.drains_through)], head, oil);
  return node.drain_share * -std::expm1(-back * rest_time / (node.drain_share * node.volume));
}

}  // namespace

Oil oil_of(const Circuit& circuit, const std::string& grade, double temperature) {
  const EngineState& engine = circuit.engine;
  const OilGrade& pure = find_oil_grade(grade.empty() ? circuit.oil : grade);
  Oil oil = engine.fuel_in_oil > 0 ? oil_at(diluted(pure, engine.fuel_in_oil), temperature) : oil_at(pure, temperature);
  oil.viscosity *= engine.oil_thickness;
  return oil;
}

Oil oil_of(const Circuit& circuit, const Condition& condition) {
  return condition.own_oil ? *condition.own_oil : oil_of(circuit, condition.oil, condition.oil_temperature);
}

std::vector<double> standing_air(const Circuit& circuit, const Oil& oil, const Condition& condition) {
  const double least = condition.rest_air + condition.air_left + circuit.engine.air_left;
  if (!(least >= 0 && least <= 0.9))
    throw Error("condition", "an air share of " + format_quantity(least, Quantity::ratio, "%") + " is out of range",
                "write 0 % to 90 % in all");
  std::vector<double> air;
  for (const Node& node : circuit.nodes) {
    const double out = drained(circuit, node, oil, condition.rest_time);
    air.push_back(node.reservoir ? std::min(1.0, node.missing + out) : std::min(0.9, least + out));
  }
  return air;
}

}  // namespace railseep
