#include "decide/hypothesis.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "after/soundness.hpp"
#include "hypothesis/unknown.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double worth_trying = 0.005;  // probability that a part fails unseen, below which it is not thought of

/// What a place costs to put right, once its group is open, without the proof.
Cost repair_of(const Costs& costs, const std::string& kind, const std::string& place, double labour) {
  const RepairPrice& price = costs.repair(kind, place);
  return costs.work(labour + price.labour, price.price);
}

Cost proof(const Costs& costs) { return costs.work(costs.proving_time, costs.proving_money); }
Cost comeback(const Costs& costs) { return costs.work(costs.comeback_time, costs.comeback_money + costs.towing_money); }

/// Seals of the same age behind the same cover: each is renewed with what is found when that costs less than its share
/// of comebacks.
void decide_together(const Circuit& circuit, const Costs& costs, WorkGroup& group) {
  double sound = 1;
  for (const Site& site : circuit.sites) {
    if (site.access != group.name || site.leaks.empty()) continue;
    const std::string kind(word(site.leaks.front().kind));
    const RepairPrice& part = costs.repair(kind, site.name);
    if (part.second_failure <= 0) continue;
    const Cost now = costs.work(costs.together_labour * (site.labour + part.labour), part.price);
    const Cost later = part.second_failure *
                       (comeback(costs) + group.cost + repair_of(costs, kind, site.name, site.labour) + proof(costs));
    if (now.money < later.money) {
      group.together.push_back(site.name);
      group.together_cost += now;
      group.together_saves += later.money - now.money;
    } else {
      sound *= 1 - part.second_failure;
    }
  }
  group.comeback = 1 - sound;
}

/// Index of the group that leads to a place; a new one where there is none yet.
int group_for(const Circuit& circuit, const Costs& costs, const PossibleFault& place, std::vector<WorkGroup>& groups) {
  WorkGroup group;
  group.name = place.access;
  if (place.access.empty()) {
    const auto named = std::find_if(costs.outside.begin(), costs.outside.end(), [&](const OutsideWork& work) {
      return work.kinds.empty() ||
             std::find(work.kinds.begin(), work.kinds.end(), place.kind->word) != work.kinds.end();
    });
    group.name = named->name, group.opened = false;
    group.cost = costs.work(named->time, named->money);
  }
  const auto known = std::find_if(groups.begin(), groups.end(),
                                  [&](const WorkGroup& g) { return g.name == group.name && g.opened == group.opened; });
  if (known != groups.end()) return static_cast<int>(known - groups.begin());
  if (group.opened) {
    for (const Access& access : circuit.access)
      if (access.name == group.name) group.labour = access.labour;
    group.cost = costs.work(group.labour + costs.looking_time, costs.opening_money);
    decide_together(circuit, costs, group);
  }
  groups.push_back(std::move(group));
  return static_cast<int>(groups.size()) - 1;
}

/// The places of a suspect that one group leads to, and how likely it is there.
struct PartOfSuspect {
  int group;
  Suspect suspect;
  double share;
};

/// The places of a suspect, sorted by what leads to them. @param shares probability of each place; empty: all alike
std::vector<PartOfSuspect> by_group(const Circuit& circuit, const Costs& costs, const Suspect& suspect,
                                    const std::vector<double>& shares, std::vector<WorkGroup>& groups) {
  std::vector<PartOfSuspect> split;
  for (std::size_t i = 0; i < suspect.places.size(); ++i) {
    const PossibleFault& place = suspect.places[i];
    const double share = shares.empty() ? 1.0 / static_cast<double>(suspect.places.size()) : shares[i];
    const int group = group_for(circuit, costs, place, groups);
    const auto known = std::ranges::find(split, group, &PartOfSuspect::group);
    if (known == split.end())
      split.push_back({group, Suspect{suspect.kind, {place}}, share});
    else
      known->suspect.places.push_back(place), known->share += share;
  }
  return split;
}

/// One hypothesis for each way to choose a group for each suspect.
void split_fit(const Circuit& circuit, const Costs& costs, const MatchResult& result, std::size_t index,
               Belief& belief) {
  const FaultFit& fit = result.fits[index];
  std::vector<Hypothesis> split{{index, {{}, fit.candidate.prior}, {}, fit.probability}};
  for (std::size_t i = 0; i < fit.candidate.suspects.size(); ++i) {
    const std::vector<double> shares = fit.places.empty() ? std::vector<double>{} : fit.places[i];
    std::vector<Hypothesis> further;
    for (const Hypothesis& so_far : split)
      for (const PartOfSuspect& part : by_group(circuit, costs, fit.candidate.suspects[i], shares, belief.groups)) {
        Hypothesis next = so_far;
        next.candidate.suspects.push_back(part.suspect);
        next.groups.push_back(part.group);
        next.probability *= part.share;
        further.push_back(std::move(next));
      }
    split = std::move(further);
  }
  belief.hypotheses.insert(belief.hypotheses.end(), split.begin(), split.end());
}

/// Keeps as many groups as can be put in order, those that matter most.
void keep_groups(Belief& belief) {
  std::vector<double> weight(belief.groups.size());
  for (const Hypothesis& h : belief.hypotheses)
    for (const int g : h.groups) weight[static_cast<std::size_t>(g)] += h.probability;
  std::vector<int> order(belief.groups.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return weight[static_cast<std::size_t>(a)] > weight[static_cast<std::size_t>(b)];
  });
  if (order.size() > most_opening_groups) order.resize(most_opening_groups);
  std::vector<WorkGroup> kept;
  std::vector<int> now(belief.groups.size(), -1);
  for (const int g : order)
    now[static_cast<std::size_t>(g)] = static_cast<int>(kept.size()),
    kept.push_back(belief.groups[static_cast<std::size_t>(g)]);
  belief.groups = std::move(kept);
  std::erase_if(belief.hypotheses, [&](const Hypothesis& h) {
    return std::any_of(h.groups.begin(), h.groups.end(), [&](int g) { return now[static_cast<std::size_t>(g)] < 0; });
  });
  for (Hypothesis& h : belief.hypotheses)
    for (int& g : h.groups) g = now[static_cast<std::size_t>(g)];
}

/// What stands open need not be opened, and what can be seen there is seen at once.
void leave_open(const Circuit& circuit, const std::vector<std::string>& open, Belief& belief) {
  for (const std::string& name : open) {
    if (std::ranges::find(circuit.access, name, &Access::name) == circuit.access.end()) {
      std::vector<std::string> known;
      for (const Access& access : circuit.access) known.push_back(access.name);
      const std::string near = nearest_word(name, known);
      throw Error("job, /open", "\"" + name + "\" is nothing that can be opened on this engine",
                  near.empty() ? "write an access group of the circuit" : "did you mean \"" + near + "\"");
    }
    for (WorkGroup& group : belief.groups)
      if (group.opened && group.name == name) {
        group.cost = {};
        group.labour = 0;
        group.stands_open = true;
      }
  }
}

bool is_seal(const Suspect& suspect) { return suspect.kind->change == FaultKind::Change::opens_leak; }

/// What renews a fault that nobody has seen: its part; of leaks all seals behind the cover.
SuspectedPart part_of(const Circuit& circuit, const Costs& costs, const Belief& belief, const Suspect& suspect,
                      int group) {
  const PossibleFault& place = suspect.places.front();
  SuspectedPart part{group, costs.repair(std::string(suspect.kind->word), place.place).part, proof(costs)};
  if (!is_seal(suspect)) {
    part.cost += repair_of(costs, std::string(suspect.kind->word), place.place, place.labour);
    return part;
  }
  part.name = "all seals behind the " + belief.groups[static_cast<std::size_t>(group)].name;
  for (const Site& site : circuit.sites) {
    if (site.access != place.access || site.leaks.empty()) continue;
    const RepairPrice& seal = costs.repair(std::string(word(site.leaks.front().kind)), site.name);
    part.cost += costs.work(costs.together_labour * (site.labour + seal.labour), seal.price);
  }
  return part;
}

/// Chance that a suspect is seen when its group is opened: the mean of its places.
double visible(const Circuit& circuit, const Suspect& suspect) {
  double sum = 0;
  for (const PossibleFault& place : suspect.places)
    sum += visibility({place.place, std::string(suspect.kind->word), 0}, circuit);
  return sum / static_cast<double>(suspect.places.size());
}

/// The parts that may be tried: as many as the search has room for, those first that most probably fail unseen.
void suspect_parts(const Circuit& circuit, const Costs& costs, Belief& belief) {
  std::vector<SuspectedPart> parts;
  std::vector<double> unseen;
  for (Hypothesis& h : belief.hypotheses) {
    h.parts.assign(h.groups.size(), -1);
    for (std::size_t i = 0; i < h.groups.size() && !h.harmless; ++i) {
      const SuspectedPart part = part_of(circuit, costs, belief, h.candidate.suspects[i], h.groups[i]);
      const auto known = std::ranges::find_if(
          parts, [&](const SuspectedPart& p) { return p.group == part.group && p.name == part.name; });
      h.parts[i] = static_cast<int>(known - parts.begin());
      if (known == parts.end()) parts.push_back(part), unseen.push_back(0);
      unseen[static_cast<std::size_t>(h.parts[i])] += h.probability * (1 - visible(circuit, h.candidate.suspects[i]));
    }
  }
  std::vector<int> order(parts.size());
  std::iota(order.begin(), order.end(), 0);
  std::ranges::stable_sort(order, std::greater{}, [&](int p) { return unseen[static_cast<std::size_t>(p)]; });
  std::erase_if(order, [&](int p) { return unseen[static_cast<std::size_t>(p)] < worth_trying; });
  order.resize(std::min(order.size(), most_opening_steps - belief.groups.size()));
  std::vector<int> now(parts.size(), -1);
  for (const int p : order)
    now[static_cast<std::size_t>(p)] = static_cast<int>(belief.parts.size()),
    belief.parts.push_back(parts[static_cast<std::size_t>(p)]);
  for (Hypothesis& h : belief.hypotheses)
    for (int& part : h.parts) part = part < 0 ? -1 : now[static_cast<std::size_t>(part)];
}

/// Best severities, and the ends of their intervals within what the fit allows. @param end -1, 0 or 1
std::vector<double> severities_at(const FaultFit& fit, int end) {
  std::vector<double> all;
  for (std::size_t i = 0; i < fit.severities.size(); ++i) {
    const Severity& s = fit.severities[i];
    const int side = i % 2 == 0 ? end : -end;
    const Unknown bounds = severity_unknown(fit.candidate.suspects[i]);
    all.push_back(std::clamp(side == 0 ? s.best : side < 0 ? s.low : s.high, bounds.least, bounds.most));
  }
  return all;
}

void add_possibilities(const MatchResult& result, const BeliefOptions& options, Belief& belief) {
  constexpr double side = 1 / (2 * 1.645 * 1.645);
  for (std::size_t h = 0; h < belief.hypotheses.size(); ++h) {
    const Hypothesis& hypothesis = belief.hypotheses[h];
    const FaultFit& fit = result.fits[hypothesis.fit];
    if (hypothesis.candidate.healthy() || hypothesis.probability < options.worth_three) {
      belief.possibilities.push_back({h, severities_at(fit, 0), 1, 0});
      continue;
    }
    for (int end = -1; end <= 1; ++end)
      belief.possibilities.push_back(
          {h, severities_at(fit, end), end == 0 ? 1 - 2 * side : side, static_cast<std::size_t>(end + 1)});
  }
}

}  // namespace

Eigen::VectorXd Belief::weights() const {
  Eigen::VectorXd all(static_cast<Eigen::Index>(possibilities.size()));
  for (std::size_t i = 0; i < possibilities.size(); ++i)
    all[static_cast<Eigen::Index>(i)] = possibilities[i].share * hypotheses[possibilities[i].hypothesis].probability;
  return all;
}

Belief belief(const Circuit& circuit, const MatchResult& result, const Costs& costs, const BeliefOptions& options,
              const std::vector<std::string>& open) {
  Belief all;
  double reached = 0;
  for (std::size_t i = 0; i < result.fits.size() && i < options.most_fits && reached < options.cover; ++i) {
    reached += result.fits[i].probability;
    split_fit(circuit, costs, result, i, all);
  }
  for (Hypothesis& h : all.hypotheses) h.harmless = leaves_pressure_in_time(circuit, result, result.fits[h.fit]);
  leave_open(circuit, open, all);
  keep_groups(all);
  all.covered = 0;
  for (const Hypothesis& h : all.hypotheses) all.covered += h.probability;
  for (Hypothesis& h : all.hypotheses) h.probability /= all.covered;
  std::stable_sort(all.hypotheses.begin(), all.hypotheses.end(),
                   [](const Hypothesis& a, const Hypothesis& b) { return a.probability > b.probability; });
  suspect_parts(circuit, costs, all);
  add_possibilities(result, options, all);
  return all;
}

std::vector<Covered> by_cover(const Belief& belief) {
  std::vector<Covered> all;
  for (const Hypothesis& h : belief.hypotheses) {
    std::string cover, kind;
    for (std::size_t i = 0; i < h.groups.size() && !h.harmless; ++i) {
      const std::string& name = belief.groups[static_cast<std::size_t>(h.groups[i])].name;
      const Suspect& suspect = h.candidate.suspects[i];
      if (cover != name) cover += (cover.empty() ? "" : " and ") + name;
      kind += (i == 0 ? "" : " and ") + std::string(suspect.kind->word);
      if (!is_seal(suspect)) kind += " of the " + suspect.places.front().place;
    }
    if (cover.empty())
      cover = "not the oil side", kind = h.harmless ? "a leak too small to matter" : "nothing wrong there";
    auto here = std::ranges::find(all, cover, &Covered::name);
    if (here == all.end()) here = all.insert(all.end(), {cover, 0, {}});
    here->probability += h.probability;
    const auto known = std::ranges::find(here->kinds, kind, &std::pair<std::string, double>::first);
    if (known == here->kinds.end())
      here->kinds.emplace_back(kind, h.probability);
    else
      known->second += h.probability;
  }
  std::ranges::stable_sort(all, std::greater{}, &Covered::probability);
  for (Covered& one : all) std::ranges::stable_sort(one.kinds, std::greater{}, &std::pair<std::string, double>::second);
  return all;
}

OpeningProblem opening_problem(const Circuit& circuit, const Belief& belief, const Costs& costs) {
  OpeningProblem problem;
  for (const SuspectedPart& part : belief.parts) problem.trials.push_back({part.group, part.cost});
  Cost everything;  // after a comeback every group is opened with care
  for (const WorkGroup& group : belief.groups) problem.groups.push_back(group.cost), everything += group.cost;
  for (const Hypothesis& h : belief.hypotheses) {
    OpeningCase one;
    one.probability = h.probability;
    one.left = h.candidate.healthy() || h.harmless ? costs.work(costs.elsewhere_time, costs.elsewhere_money)
                                                   : comeback(costs) + everything;
    for (std::size_t i = 0; i < h.groups.size() && !h.harmless; ++i) {
      const WorkGroup& group = belief.groups[static_cast<std::size_t>(h.groups[i])];
      const Suspect& suspect = h.candidate.suspects[i];
      Cost repair;  // mean of its places; a seal that is renewed anyway is paid with the others
      for (const PossibleFault& place : suspect.places)
        if (suspect.kind->change != FaultKind::Change::opens_leak ||
            std::find(group.together.begin(), group.together.end(), place.place) == group.together.end())
          repair += (1.0 / static_cast<double>(suspect.places.size())) *
                    repair_of(costs, std::string(suspect.kind->word), place.place, place.labour);
      one.finds.push_back(
          {h.groups[i], repair + group.together_cost + proof(costs), visible(circuit, suspect), h.parts[i]});
      one.left += one.finds.back().repair;
    }
    problem.cases.push_back(std::move(one));
  }
  return problem;
}

}  // namespace railseep
