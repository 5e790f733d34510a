#include "decide/policy.hpp"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <numeric>

#include "fit/in_parallel.hpp"

namespace railseep {

namespace {

double bits_of(double p) { return p > 0 ? -p * std::log2(p) : 0; }

Eigen::VectorXd of_classes(const Eigen::VectorXd& weights, const std::vector<std::size_t>& class_of) {
  const std::size_t classes = class_of.empty() ? 0 : 1 + *std::max_element(class_of.begin(), class_of.end());
  Eigen::VectorXd all = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(classes));
  for (std::size_t i = 0; i < class_of.size(); ++i)
    all[static_cast<Eigen::Index>(class_of[i])] += weights[static_cast<Eigen::Index>(i)];
  return all;
}

/// Expected cost of one check and then opening; weights need not add up to 1.
Cost then_open(const Eigen::VectorXd& weights, const CheckModel& check, const Cost& cost, const Worth& worth) {
  Cost sum = weights.sum() * cost;
  for (Eigen::Index o = 0; o < check.likelihood.cols(); ++o)
    sum += worth(weights.cwiseProduct(check.likelihood.col(o)));
  return sum;
}

}  // namespace

Cost setting_up(const CheckModel& check, const CheckModel* after, const std::vector<Cost>& setups) {
  Cost sum;
  for (const std::size_t setup : check.setups)
    if (!after || std::ranges::find(after->setups, setup) == after->setups.end()) sum += setups[setup];
  return sum;
}

double entropy(const Eigen::VectorXd& weights, const std::vector<std::size_t>& class_of) {
  const double total = weights.sum();
  if (!(total > 0)) return 0;
  double bits = 0;
  for (const double p : of_classes(weights, class_of)) bits += bits_of(p / total);
  return bits;
}

double information(const Eigen::VectorXd& weights, const std::vector<std::size_t>& class_of,
                   const Eigen::MatrixXd& likelihood) {
  double bits = entropy(weights, class_of);
  for (Eigen::Index o = 0; o < likelihood.cols(); ++o) {
    const Eigen::VectorXd after = weights.cwiseProduct(likelihood.col(o));
    bits -= after.sum() / weights.sum() * entropy(after, class_of);
  }
  return std::max(0.0, bits);
}

std::vector<CheckValue> value_checks(const Eigen::VectorXd& weights, const std::vector<std::size_t>& class_of,
                                     const std::vector<CheckModel>& checks, const Worth& worth, int threads,
                                     const std::function<void()>& tick, const std::vector<Cost>& setups) {
  std::vector<CheckValue> values(checks.size());
  struct Branch {
    std::size_t check;
    Eigen::Index outcome;
    Cost open, best;
    int then = -1;
  };
  std::vector<Branch> branches;
  for (std::size_t k = 0; k < checks.size(); ++k) {
    values[k].bits = information(weights, class_of, checks[k].likelihood);
    values[k].outcomes = checks[k].likelihood.transpose() * weights / weights.sum();
    values[k].then.assign(static_cast<std::size_t>(checks[k].likelihood.cols()), -1);
    for (Eigen::Index o = 0; o < checks[k].likelihood.cols(); ++o) branches.push_back({k, o, {}, {}, -1});
  }
  std::mutex guard;
  in_parallel(branches.size(), threads, [&](std::size_t i) {
    if (tick) {
      const std::lock_guard lock(guard);
      tick();
    }
    Branch& branch = branches[i];
    const Eigen::VectorXd after = weights.cwiseProduct(checks[branch.check].likelihood.col(branch.outcome));
    branch.open = branch.best = worth(after);
    for (std::size_t j = 0; j < checks.size(); ++j) {
      if (j == branch.check) continue;
      const Cost own = checks[j].cost + setting_up(checks[j], &checks[branch.check], setups);
      const Cost cost = then_open(after, checks[j], own, worth);
      if (cost.money < branch.best.money) branch.best = cost, branch.then = static_cast<int>(j);
    }
  });
  for (std::size_t k = 0; k < checks.size(); ++k)
    values[k].alone = values[k].expected = weights.sum() * (checks[k].cost + setting_up(checks[k], nullptr, setups));
  for (const Branch& branch : branches) {
    values[branch.check].alone += branch.open, values[branch.check].expected += branch.best;
    values[branch.check].then[static_cast<std::size_t>(branch.outcome)] = branch.then;
  }
  return values;
}

std::vector<CheckStanding> standings(const std::vector<CheckValue>& values, const std::vector<Cost>& own,
                                     const Cost& open, double first_opening, double unknown_bits) {
  std::vector<CheckStanding> all(values.size());
  double least = INFINITY;
  for (std::size_t k = 0; k < values.size(); ++k) {
    CheckStanding& one = all[k];
    one.without = open;
    for (std::size_t j = 0; j < values.size(); ++j)
      if (j != k && values[j].alone.money < one.without.money) one.without = values[j].alone;
    const bool tells = values[k].bits >= telling_share * unknown_bits && values[k].bits > 0;
    const bool quick = own[k].time <= quick_look && much_longer * own[k].time <= first_opening;
    const bool tie = values[k].expected.money <= (1 + near_tie) * one.without.money;
    one.pays =
        values[k].alone.money < open.money || values[k].expected.money < one.without.money || (tells && quick && tie);
    if (one.pays) least = std::min(least, values[k].expected.money);
  }
  for (std::size_t k = 0; k < values.size(); ++k)
    all[k].nearly_best = all[k].pays && values[k].expected.money <= (1 + near_tie) * least;
  return all;
}

std::vector<std::size_t> ranking(const std::vector<CheckValue>& values, const std::vector<Cost>& own,
                                 const std::vector<CheckStanding>& standings) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), 0);
  std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) {
    const CheckStanding &one = standings[a], &other = standings[b];
    if (one.pays != other.pays) return one.pays;
    if (one.nearly_best != other.nearly_best) return one.nearly_best;
    if (one.nearly_best && own[a].time != own[b].time) return own[a].time < own[b].time;
    return values[a].expected.money < values[b].expected.money;
  });
  return order;
}

}  // namespace railseep
