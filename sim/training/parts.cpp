#include "training/parts.hpp"

#include <algorithm>

namespace railseep {

namespace {

std::string group_of(const Belief& belief, const PossibleFault& fault) {
  for (const Hypothesis& hypothesis : belief.hypotheses)
    for (std::size_t i = 0; i < hypothesis.candidate.suspects.size(); ++i)
      for (const PossibleFault& place : hypothesis.candidate.suspects[i].places)
        if (place.place == fault.place && place.kind == fault.kind)
          return belief.groups[static_cast<std::size_t>(hypothesis.groups[i])].name;
  return fault.access;
}

}  // namespace

std::vector<Part> parts_of(const Circuit& circuit, const Belief& belief, const Costs& costs) {
  std::vector<Part> parts;
  for (const PossibleFault& fault : possible_faults(circuit)) {
    const std::string kind(fault.kind->word);
    const RepairPrice& price = costs.repair(kind, fault.place);
    const bool leak = fault.kind->change == FaultKind::Change::opens_leak;
    const std::string name = leak ? fault.place : fault.place + ": " + price.part;
    const auto known = std::ranges::find(parts, name, &Part::name);
    if (known != parts.end())
      known->kinds.push_back(kind);
    else
      parts.push_back(
          {name, fault.place, {kind}, group_of(belief, fault), costs.work(fault.labour + price.labour, price.price)});
  }
  return parts;
}

}  // namespace railseep
