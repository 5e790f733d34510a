#include "match/look_alikes.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <set>

namespace railseep {

namespace {

constexpr double worth_showing = 0.05;  // probability below which a fit opens no set of its own

/// Is it a fault, and do all its oil losses follow one of these laws?
bool follows(const Candidate& candidate, std::initializer_list<FaultKind::Law> laws) {
  return !candidate.healthy() && std::ranges::all_of(candidate.suspects, [&](const Suspect& suspect) {
    return std::ranges::find(laws, suspect.kind->law) != laws.end();
  });
}

std::string reason(const Circuit& circuit, const std::vector<FaultFit>& fits, const std::vector<std::size_t>& members) {
  std::set<std::string> nodes;
  bool films = true, holes = true, healthy = false;
  std::size_t places = 0;
  for (const std::size_t i : members) {
    const FaultFit& fit = fits[i];
    films &= film_like(fit.candidate), holes &= hole_like(fit.candidate), healthy |= fit.candidate.healthy();
    for (const Suspect& suspect : fit.candidate.suspects) places += suspect.places.size();
    for (const Suspect& suspect : fit.candidate.suspects)
      if (suspect.kind->change == FaultKind::Change::opens_leak)
        for (const PossibleFault& place : suspect.places)
          nodes.insert(circuit.nodes[circuit.sites[circuit.find_site(place.place)].node].name);
  }
  if (healthy)
    return "a fault as small as these changes the pressure by less than the sensor and the model are sure of.";
  if (members.size() == 1 && places > 1)
    return "they leak from the same volume by the same law: pressure and duty only see the total.";
  std::string text;
  if (films)
    text = "all of them pass oil in proportion to pressure over viscosity";
  else if (holes)
    text = "all of them pass oil as a hole does";
  else
    text = "at the pressures and temperatures logged they cost the same oil";
  if (nodes.size() > 1) text += ", and the tubes between these places lose hardly any pressure";
  return text + ": pressure and duty only see the total.";
}

}  // namespace

bool film_like(const Candidate& candidate) { return follows(candidate, {FaultKind::Law::film}); }

bool hole_like(const Candidate& candidate) {
  return follows(candidate, {FaultKind::Law::hole, FaultKind::Law::opening});
}

std::vector<LookAlikes> look_alikes(const Circuit& circuit, const std::vector<FaultFit>& fits) {
  std::vector<std::size_t> order(fits.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return fits[a].log_evidence > fits[b].log_evidence; });
  std::vector<bool> placed(fits.size(), false);
  std::vector<LookAlikes> sets;
  for (const std::size_t head : order) {
    if (placed[head] || fits[head].probability < worth_showing) continue;
    LookAlikes set;
    std::size_t places = 0;
    for (const std::size_t other : order) {
      if (placed[other] || fits[head].log_evidence - fits[other].log_evidence >= std::log(look_alike_factor)) continue;
      if (fits[other].log_evidence > fits[head].log_evidence) continue;
      placed[other] = true;
      set.fits.push_back(other);
      std::size_t most = 1;
      for (const Suspect& suspect : fits[other].candidate.suspects) most = std::max(most, suspect.places.size());
      places += most;
    }
    if (places < 2) continue;
    set.why = reason(circuit, fits, set.fits);
    sets.push_back(std::move(set));
  }
  return sets;
}

}  // namespace railseep
