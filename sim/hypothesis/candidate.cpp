#include "hypothesis/candidate.hpp"

#include <algorithm>
#include <optional>

#include "circuit/place_names.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

/// "seat leak (regulator)": a word may stand for faults of different parts.
std::string prior_key(const FaultKind& kind) {
  return kind.change == FaultKind::Change::opens_leak
             ? std::string(kind.word)
             : std::string(kind.word) + " (" + std::string(kind.applies_to) + ")";
}

/// What a fault that lets oil past does to the circuit, but for its size.
struct Leakage {
  LeakClass law;
  int from, to;  // nodes
  double width = 0, length = 0, opening_pressure = 0, full_pressure = 0;

  bool operator==(const Leakage&) const = default;
};

std::optional<Leakage> leakage_of(const Circuit& circuit, const PossibleFault& fault) {
  if (fault.kind->change == FaultKind::Change::opens_leak) {
    const Site& site = circuit.sites[circuit.find_site(fault.place)];
    const Leak& leak = *std::ranges::find(site.leaks, fault.kind->leak, &Leak::kind);
    return Leakage{leak.kind, site.node, site.to, leak.width, leak.length, leak.opening_pressure, leak.full_pressure};
  }
  if (fault.kind->key != "seat_leak") return std::nullopt;
  const Link& link = circuit.links[circuit.find_link(fault.place)];
  const bool drains =
      std::ranges::any_of(circuit.nodes, [&](const Node& node) { return node.drains_through == link.name; });
  const double now = get_parameter(link.element, fault.kind->key);
  if (drains || now > 0) return std::nullopt;
  return Leakage{LeakClass::hole, link.from, link.to};
}

/// No reading of pressure or duty will ever tell them apart, and nothing else does beforehand.
bool same_physics(const Circuit& circuit, const PossibleFault& a, const PossibleFault& b) {
  return a.kind == b.kind && a.kind->change == FaultKind::Change::opens_leak && a.least == b.least &&
         a.most == b.most && same_effect(circuit, a, b);
}

}  // namespace

bool same_effect(const Circuit& circuit, const PossibleFault& a, const PossibleFault& b) {
  const std::optional<Leakage> one = leakage_of(circuit, a);
  return one && one == leakage_of(circuit, b);
}

std::string Suspect::title() const {
  if (places.size() == 1) return std::string(kind->word) + " at " + places.front().place;
  std::vector<std::string> names;
  for (const PossibleFault& place : places) names.push_back(place.place);
  return std::string(kind->word) + " at any of " + std::to_string(names.size()) + " " + what_places_are(names) + ": " +
         places_text(names);
}

std::string Candidate::title() const {
  if (healthy()) return "nothing wrong on the oil side";
  std::string text = suspects.front().title();
  for (std::size_t i = 1; i < suspects.size(); ++i) text += " and " + suspects[i].title();
  return text;
}

std::vector<Fault> Candidate::faults(const std::vector<double>& severities) const {
  std::vector<Fault> all;
  for (std::size_t i = 0; i < suspects.size(); ++i) all.push_back(suspects[i].fault(severities[i]));
  return all;
}

Priors read_priors(const std::string& path) {
  const Json json = read_json(path);
  JsonFields fields = JsonFields::top(json, path);
  if (fields.text("railseep") != "priors")
    throw Error(fields.place_of("railseep"), "this is not a file of priors", "write \"railseep\": \"priors\"");
  fields.text("source");
  Priors priors;
  JsonFields weights = fields.object("weights");
  for (const FaultKind& kind : fault_kinds()) priors[prior_key(kind)] = 0;
  priors["healthy"] = 0;
  for (auto& [key, weight] : priors) {
    weight = weights.quantity(key.c_str(), Quantity::ratio);
    if (weight < 0) throw Error(weights.place_of(key.c_str()), "the weight is below 0", "write 0 or more");
  }
  weights.finish();
  fields.finish();
  return priors;
}

std::vector<Candidate> candidates(const Circuit& circuit, const Priors& priors) {
  const auto weight = [&](const std::string& key) {
    const auto found = priors.find(key);
    if (found == priors.end())
      throw Error("priors", "there is no weight for \"" + key + "\"", "add it to the file of priors");
    return found->second;
  };
  const std::vector<PossibleFault> possible = possible_faults(circuit);
  std::vector<Candidate> all;
  double total = weight("healthy");
  for (const PossibleFault& fault : possible) {
    const auto of_this_kind = std::count_if(possible.begin(), possible.end(),
                                            [&](const PossibleFault& other) { return other.kind == fault.kind; });
    const double share = weight(prior_key(*fault.kind)) / static_cast<double>(of_this_kind);
    if (share <= 0) continue;
    total += share;
    const auto twin = std::find_if(all.begin(), all.end(), [&](const Candidate& c) {
      return same_physics(circuit, c.suspects.front().places.front(), fault);
    });
    if (twin != all.end())
      twin->suspects.front().places.push_back(fault), twin->prior += share;
    else
      all.push_back({{Suspect{fault.kind, {fault}}}, share});
  }
  if (weight("healthy") > 0) all.push_back({{}, weight("healthy")});
  if (!(total > 0)) throw Error("priors", "all weights are 0", "give at least one kind of fault a weight");
  for (Candidate& candidate : all) candidate.prior /= total;
  return all;
}

}  // namespace railseep
