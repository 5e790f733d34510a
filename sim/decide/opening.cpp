#include "decide/opening.hpp"

#include <algorithm>
#include <string>

#include "quantity/error.hpp"

namespace railseep {

/// Over the subsets of those steps that could find anything; the others are never worth taking. Such a subset is a
/// number with one bit for each of `useful`.
struct Opening::Table {
  std::vector<std::size_t> useful;
  std::vector<Cost> value;  // F(S)
  std::vector<int> next;    // which of `useful` comes after S; -1: stop
};

namespace {

bool has(std::size_t subset, std::size_t step) { return (subset >> step & 1) != 0; }

}  // namespace

double Opening::Chance::found(std::size_t subset, std::size_t groups) const {
  if (trial >= 0 && has(subset, groups + static_cast<std::size_t>(trial))) return 1;
  return has(subset, static_cast<std::size_t>(group)) ? visible : 0;
}

bool Opening::possible(std::size_t subset, std::size_t step) const {
  if (has(subset, step)) return false;
  const std::size_t groups = problem_.groups.size();
  return step < groups || has(subset, static_cast<std::size_t>(problem_.trials[step - groups].group));
}

std::size_t Opening::steps_of(const OpeningCase& one) const {
  std::size_t steps = 0;
  for (const OpeningCase::Find& find : one.finds) {
    steps |= std::size_t{1} << find.group;
    if (find.trial < 0) continue;
    const auto trial = static_cast<std::size_t>(find.trial);
    steps |= std::size_t{1} << (problem_.groups.size() + trial) | std::size_t{1} << problem_.trials[trial].group;
  }
  return steps;
}

const Cost& Opening::cost_of(std::size_t step) const {
  const std::size_t groups = problem_.groups.size();
  return step < groups ? problem_.groups[step] : problem_.trials[step - groups].cost;
}

Opening::Opening(OpeningProblem problem) : problem_(std::move(problem)) {
  const auto groups = static_cast<int>(problem_.groups.size()), trials = static_cast<int>(problem_.trials.size());
  if (steps() > most_opening_steps)
    throw Error("opening", std::to_string(steps()) + " steps", "give at most " + std::to_string(most_opening_steps));
  for (const Trial& trial : problem_.trials)
    if (trial.group < 0 || trial.group >= groups)
      throw Error("opening", "a trial names a group that is not there", "give 0 to the number of groups less 1");
  for (const OpeningCase& one : problem_.cases) {
    std::vector<Chance> chances;
    for (const OpeningCase::Find& find : one.finds) {
      if (find.group < 0 || find.group >= groups || find.trial >= trials)
        throw Error("opening", "a case names a group or a trial that is not there", "give 0 to their number less 1");
      if (!(find.visible >= 0 && find.visible <= 1))
        throw Error("opening", "the chance to see a fault is out of range", "give 0 to 1");
      chances.push_back({find.group, find.trial, find.visible});
    }
    const auto twin = std::ranges::find(signatures_, chances);
    signature_of_.push_back(static_cast<int>(twin - signatures_.begin()));
    if (twin == signatures_.end()) signatures_.push_back(std::move(chances));
  }
  const std::size_t subsets = std::size_t{1} << steps();
  row_of_.assign(subsets, -1);
  int rows = 0;
  for (std::size_t subset = 0; subset < subsets; ++subset) {
    bool reachable = true;
    for (std::size_t t = 0; t < problem_.trials.size(); ++t)
      if (has(subset, problem_.groups.size() + t) && !has(subset, static_cast<std::size_t>(problem_.trials[t].group)))
        reachable = false;
    if (reachable) row_of_[subset] = rows++;
  }
  unfound_.setZero(rows, static_cast<Eigen::Index>(signatures_.size()));
  for (std::size_t s = 0; s < signatures_.size(); ++s)
    for (std::size_t subset = 0; subset < subsets; ++subset) {
      if (row_of_[subset] < 0) continue;
      double found = signatures_[s].empty() ? 0 : 1;
      for (const Chance& chance : signatures_[s]) found *= chance.found(subset, problem_.groups.size());
      unfound_(row_of_[subset], static_cast<Eigen::Index>(s)) = 1 - found;
    }
}

Eigen::VectorXd Opening::probabilities() const {
  Eigen::VectorXd weights(static_cast<Eigen::Index>(problem_.cases.size()));
  for (std::size_t i = 0; i < problem_.cases.size(); ++i)
    weights[static_cast<Eigen::Index>(i)] = problem_.cases[i].probability;
  return weights;
}

void Opening::solve(const Eigen::VectorXd& weights, Table& table) const {
  // What does not depend on the order: mass and bill of each kind of case, the repairs behind each group, and the steps
  // that could find anything.
  struct Left {
    double mass = 0;
    Cost bill;
  };
  std::vector<Left> of_signature(signatures_.size());
  std::vector<Cost> repair(steps());  // none behind a trial
  std::size_t useful = 0;
  for (std::size_t i = 0; i < problem_.cases.size(); ++i) {
    const double p = weights[static_cast<Eigen::Index>(i)];
    if (p == 0) continue;
    useful |= steps_of(problem_.cases[i]);
    Left& alike = of_signature[static_cast<std::size_t>(signature_of_[i])];
    alike.mass += p, alike.bill += p * problem_.cases[i].left;
    for (const OpeningCase::Find& find : problem_.cases[i].finds)
      repair[static_cast<std::size_t>(find.group)] += (p * find.visible) * find.repair;
  }
  table.useful.clear();
  for (std::size_t step = 0; step < steps(); ++step)
    if (has(useful, step)) table.useful.push_back(step);
  table.value.resize(std::size_t{1} << table.useful.size()), table.next.assign(table.value.size(), -1);
  // From all useful steps to none.
  for (std::size_t at = table.value.size(), subset = useful; at-- > 0; subset = (subset - 1) & useful) {
    const int row = row_of_[subset];
    if (row < 0) continue;
    Left here;
    for (std::size_t s = 0; s < of_signature.size(); ++s) {
      const double unfound = unfound_(row, static_cast<Eigen::Index>(s));
      here.mass += unfound * of_signature[s].mass, here.bill += unfound * of_signature[s].bill;
    }
    Cost& best = table.value[at] = here.bill;
    for (std::size_t k = 0; k < table.useful.size(); ++k) {
      const std::size_t step = table.useful[k];
      if (!possible(subset, step)) continue;
      const Cost cost = here.mass * cost_of(step) + repair[step] + table.value[at | (std::size_t{1} << k)];
      if (cost.money < best.money) best = cost, table.next[at] = static_cast<int>(k);
    }
  }
}

Cost Opening::value(const Eigen::VectorXd& weights) const {
  thread_local Table table;  // taking and giving back its memory would cost as much as the search
  solve(weights, table);
  return table.value[0];
}

OpeningOrder Opening::walk(const std::vector<int>& steps, const Eigen::VectorXd& weights) const {
  OpeningOrder walked;
  walked.steps = steps;
  const auto add = [&](std::size_t subset, bool with_left) {
    double mass = 0;
    for (std::size_t i = 0; i < problem_.cases.size(); ++i) {
      const double unfound = weights[static_cast<Eigen::Index>(i)] * unfound_(row_of_[subset], signature_of_[i]);
      mass += unfound;
      if (!with_left) continue;
      walked.expected += unfound * problem_.cases[i].left;
      if (!problem_.cases[i].finds.empty()) walked.unfound += unfound;
    }
    return mass;
  };
  std::size_t subset = 0;
  for (const int step : steps) {
    walked.reached.push_back(add(subset, false));
    walked.expected += walked.reached.back() * cost_of(static_cast<std::size_t>(step));
    for (std::size_t i = 0; i < problem_.cases.size(); ++i)
      for (const OpeningCase::Find& find : problem_.cases[i].finds)
        if (find.group == step) walked.expected += (weights[static_cast<Eigen::Index>(i)] * find.visible) * find.repair;
    subset |= std::size_t{1} << step;
    walked.found.push_back(walked.reached.back() - add(subset, false));
  }
  add(subset, true);
  return walked;
}

OpeningOrder Opening::best(const Eigen::VectorXd& weights) const {
  Table table;
  solve(weights, table);
  std::vector<int> order;
  for (std::size_t at = 0; table.next[at] >= 0;) {
    const auto k = static_cast<std::size_t>(table.next[at]);
    order.push_back(static_cast<int>(table.useful[k]));
    at |= std::size_t{1} << k;
  }
  return walk(order, weights);
}

OpeningOrder Opening::best() const { return best(probabilities()); }

OpeningOrder Opening::follow(const std::vector<int>& steps) const { return walk(steps, probabilities()); }

}  // namespace railseep
