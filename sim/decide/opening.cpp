#include "decide/opening.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "quantity/error.hpp"

namespace railseep {

struct Opening::Table {
  std::vector<Cost> value;  // F(S)
  std::vector<int> next;    // group to open after S; -1: stop
};

namespace {

/// Share of a case that is still unfound after the groups of a subset were opened: 1 - (1 - m)^faults, or all of it.
double unfound_share(const std::vector<int>& finds, unsigned mask, unsigned subset, double miss) {
  if (finds.empty() || (mask & ~subset) != 0) return 1;
  return 1 - std::pow(1 - miss, static_cast<double>(finds.size()));
}

}  // namespace

Opening::Opening(OpeningProblem problem) : problem_(std::move(problem)) {
  const std::size_t groups = problem_.groups.size();
  if (groups > most_opening_groups)
    throw Error("opening", std::to_string(groups) + " groups to open",
                "give at most " + std::to_string(most_opening_groups));
  if (!(problem_.miss >= 0 && problem_.miss <= 1))
    throw Error("opening", "the share of overlooked faults is out of range", "give 0 to 1");
  for (const OpeningCase& one : problem_.cases) {
    Signature signature;
    for (const OpeningCase::Find& find : one.finds) {
      if (find.group < 0 || find.group >= static_cast<int>(groups))
        throw Error("opening", "a case names a group that is not there", "give 0 to the number of groups less 1");
      signature.finds.push_back(find.group), signature.mask |= 1u << find.group;
    }
    std::sort(signature.finds.begin(), signature.finds.end());
    const auto twin = std::find_if(signatures_.begin(), signatures_.end(),
                                   [&](const Signature& s) { return s.finds == signature.finds; });
    signature_of_.push_back(static_cast<int>(twin - signatures_.begin()));
    if (twin == signatures_.end()) signatures_.push_back(std::move(signature));
  }
  unfound_.resize(std::size_t{1} << groups);
  for (unsigned subset = 0; subset < unfound_.size(); ++subset)
    for (const Signature& s : signatures_)
      unfound_[subset].push_back(unfound_share(s.finds, s.mask, subset, problem_.miss));
}

Eigen::VectorXd Opening::probabilities() const {
  Eigen::VectorXd weights(static_cast<Eigen::Index>(problem_.cases.size()));
  for (std::size_t i = 0; i < problem_.cases.size(); ++i)
    weights[static_cast<Eigen::Index>(i)] = problem_.cases[i].probability;
  return weights;
}

Opening::Table Opening::solve(const Eigen::VectorXd& weights) const {
  const std::size_t groups = problem_.groups.size(), subsets = unfound_.size();
  // What does not depend on the order: mass and bill of each kind of case, and the repairs behind each group.
  std::vector<double> mass(signatures_.size());
  std::vector<Cost> left(signatures_.size()), repair(groups);
  for (std::size_t i = 0; i < problem_.cases.size(); ++i) {
    const double p = weights[static_cast<Eigen::Index>(i)];
    const auto s = static_cast<std::size_t>(signature_of_[i]);
    mass[s] += p, left[s] += p * problem_.cases[i].left;
    for (const OpeningCase::Find& find : problem_.cases[i].finds)
      repair[static_cast<std::size_t>(find.group)] += (p * (1 - problem_.miss)) * find.repair;
  }
  Table table{std::vector<Cost>(subsets), std::vector<int>(subsets, -1)};
  for (std::size_t subset = subsets; subset-- > 0;) {
    double here = 0;
    Cost stop;
    for (std::size_t s = 0; s < signatures_.size(); ++s)
      here += unfound_[subset][s] * mass[s], stop += unfound_[subset][s] * left[s];
    Cost& best = table.value[subset] = stop;
    for (std::size_t g = 0; g < groups; ++g) {
      if (subset & (std::size_t{1} << g)) continue;
      const Cost cost = here * problem_.groups[g] + repair[g] + table.value[subset | (std::size_t{1} << g)];
      if (cost.money < best.money) best = cost, table.next[subset] = static_cast<int>(g);
    }
  }
  return table;
}

Cost Opening::value(const Eigen::VectorXd& weights) const { return solve(weights).value[0]; }

OpeningOrder Opening::walk(const std::vector<int>& order, const Eigen::VectorXd& weights) const {
  OpeningOrder walked;
  walked.groups = order;
  const auto add = [&](std::size_t subset, bool with_left) {
    double mass = 0;
    for (std::size_t i = 0; i < problem_.cases.size(); ++i) {
      const double unfound =
          weights[static_cast<Eigen::Index>(i)] * unfound_[subset][static_cast<std::size_t>(signature_of_[i])];
      mass += unfound;
      if (!with_left) continue;
      walked.expected += unfound * problem_.cases[i].left;
      if (!problem_.cases[i].finds.empty()) walked.unfound += unfound;
    }
    return mass;
  };
  std::size_t subset = 0;
  for (const int g : order) {
    walked.reached.push_back(add(subset, false));
    walked.expected += walked.reached.back() * problem_.groups[static_cast<std::size_t>(g)];
    for (std::size_t i = 0; i < problem_.cases.size(); ++i)
      for (const OpeningCase::Find& find : problem_.cases[i].finds)
        if (find.group == g)
          walked.expected += (weights[static_cast<Eigen::Index>(i)] * (1 - problem_.miss)) * find.repair;
    subset |= std::size_t{1} << g;
    walked.found.push_back(walked.reached.back() - add(subset, false));
  }
  add(subset, true);
  return walked;
}

OpeningOrder Opening::best(const Eigen::VectorXd& weights) const {
  const Table table = solve(weights);
  std::vector<int> order;
  for (std::size_t subset = 0; table.next[subset] >= 0; subset |= std::size_t{1} << order.back())
    order.push_back(table.next[subset]);
  return walk(order, weights);
}

OpeningOrder Opening::best() const { return best(probabilities()); }

OpeningOrder Opening::follow(const std::vector<int>& order) const { return walk(order, probabilities()); }

}  // namespace railseep
