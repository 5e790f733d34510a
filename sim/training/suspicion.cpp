#include "training/suspicion.hpp"

#include <algorithm>

namespace railseep {

namespace {

/// From oil to spark: the order in which a circuit is explained.
constexpr std::string_view order[] = {"the oil", "oil supply", "pump",   "regulator", "wiring",        "valves",
                                      "leak: ",  "injectors",  "sensor", "batteries", not_the_oil_side};

std::string of_kind(const FaultKind& kind, const std::string& access) {
  if (kind.change == FaultKind::Change::opens_leak) return "leak: " + access;
  const std::string_view at = kind.applies_to, word = kind.word;
  if (word == "coil open" || word == "no current" || word == "grounded" || word == "no sync" || word == "driver dead" ||
      word == "weak shots")
    return "wiring";
  if (word == "slow cranking") return "batteries";
  if (at == "pump") return word == "inlet blocked" ? "oil supply" : "pump";
  if (at == "regulator") return "regulator";
  if (at == "sensor") return "sensor";
  if (at == "injector") return "injectors";
  if (at == "check valve") return "valves";
  if (at == "engine") return "the oil";
  return "oil supply";
}

std::size_t rank(const std::string& suspicion) {
  return static_cast<std::size_t>(
      std::ranges::find_if(order, [&](std::string_view word) { return suspicion.starts_with(word); }) -
      std::begin(order));
}

}  // namespace

std::string suspicion_of(const Belief& belief, const Hypothesis& hypothesis) {
  if (hypothesis.candidate.healthy()) return std::string(not_the_oil_side);
  return of_kind(*hypothesis.candidate.suspects.front().kind,
                 belief.groups[static_cast<std::size_t>(hypothesis.groups.front())].name);
}

std::string suspicion_of(const Circuit& circuit, const Fault& fault) {
  for (const PossibleFault& possible : possible_faults(circuit))
    if (possible.place == fault.place && possible.kind->word == fault.kind)
      return of_kind(*possible.kind, possible.access);
  return of_kind(kind_of(fault, circuit), "");
}

std::vector<std::string> suspicions(const Belief& belief) {
  std::vector<std::string> all;
  for (const Hypothesis& hypothesis : belief.hypotheses) all.push_back(suspicion_of(belief, hypothesis));
  std::ranges::sort(
      all, [](const std::string& a, const std::string& b) { return std::pair(rank(a), a) < std::pair(rank(b), b); });
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

}  // namespace railseep
