#include "procedure/isolate.hpp"

#include <algorithm>

#include "quantity/error.hpp"

namespace railseep {

Circuit blocked(const Circuit& circuit, std::string_view name) {
  std::vector<std::string> names;
  for (const Block& block : circuit.blocks) {
    names.push_back(block.name);
    if (block.name != name) continue;
    Circuit split = circuit;
    for (const std::string& plugged : block.links) split.links[split.find_link(plugged)].element = Hole{0};
    const int sensor = split.only<Sensor>();
    if (sensor >= 0) split.links[sensor].from = split.find_node(block.sensor_node);
    return split;
  }
  std::string listed;
  for (const std::string& known : names) listed += (listed.empty() ? "\"" : ", \"") + known + "\"";
  throw Error(circuit.name, "there is no block \"" + std::string(name) + "\"",
              names.empty() ? "this circuit cannot be split" : "write one of " + listed);
}

CrankResult isolate(const Circuit& circuit, const Condition& condition, std::string_view block, CrankOptions options) {
  const double duty = circuit.engine.regulator_driver > 0.5 ? circuit.control.most_duty : circuit.control.least_duty;
  options.duty = Profile(duty);
  return crank(blocked(circuit, block), condition, options);
}

}  // namespace railseep
