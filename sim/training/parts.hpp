#pragma once

#include <string>
#include <vector>

#include "decide/hypothesis.hpp"

namespace railseep {

/// Something that can be renewed, repaired or topped up.
struct Part {
  std::string name;  // "pressure regulator: plug and wire"
  std::string place;
  std::vector<std::string> kinds;  // of fault that it cures there
  std::string group;               // that must be open
  Cost cost;
};

/// All parts of an engine, from its possible faults and the prices. A place that leaks has one part, whatever the leak.
std::vector<Part> parts_of(const Circuit& circuit, const Belief& belief, const Costs& costs);

}  // namespace railseep
