#pragma once

#include <Eigen/Core>
#include <vector>

#include "decide/costs.hpp"

namespace railseep {

/// One thing that may be wrong: behind which groups it is found, and what it takes.
struct OpeningCase {
  struct Find {
    int group = 0;
    Cost repair;  // putting it right and proving it
  };
  double probability = 0;
  std::vector<Find> finds;  // one a fault; none: nothing that opening could find
  Cost left;                // when one stops with this unfound: comeback, or the search elsewhere
};

/// Groups are opened one after another. Behind each one looks; a fault that is there is seen with probability 1 - miss,
/// repaired and proved. One may stop at any time and pay what is left.
struct OpeningProblem {
  std::vector<Cost> groups;  // opening and looking
  std::vector<OpeningCase> cases;
  double miss = 0;  // [-]
};

inline constexpr std::size_t most_opening_groups = 12;  // 2^groups states

struct OpeningOrder {
  std::vector<int> groups;      // to be opened in this order while nothing is proved; then one stops
  Cost expected;                // of everything, until it is proved or given up
  std::vector<double> reached;  // probability that one comes to open each
  std::vector<double> found;    // probability that the search ends well there
  double unfound = 0;           // probability that one stops with a fault of the oil side unfound
};

/// The order of least expected money, by dynamic programming over the subsets that have been opened:
///
///     F(S) = min( sum_h W(S,h)*left_h,  min_(g not in S) [ W(S)*c_g + (1-m)*sum_(h in g) p_h*repair_h + F(S + g) ] )
///
/// W(S,h) = p_h*(1 - P(all faults of h are found in S)). For one fault a case, independent costs and no stopping the
/// order is that of falling p/c (Kalagnanam and Henrion 1990, A comparison of decision analysis and expert rules for
/// sequential diagnosis). With two faults in a case the order is not changed after the first is found (an
/// approximation).
class Opening {
 public:
  /// @throws Error for more than most_opening_groups groups, or a miss outside 0 to 1
  explicit Opening(OpeningProblem problem);

  const OpeningProblem& problem() const { return problem_; }

  /// @param weights one a case, in place of the problem's probabilities; need not add up to 1: everything is
  /// proportional to them
  OpeningOrder best(const Eigen::VectorXd& weights) const;
  OpeningOrder best() const;

  /// Expected cost of the best order alone: what a belief is worth. Called thousands of times.
  Cost value(const Eigen::VectorXd& weights) const;

  /// What a given order costs, in which one never stops early. @param order different groups
  OpeningOrder follow(const std::vector<int>& order) const;

 private:
  struct Table;
  Table solve(const Eigen::VectorXd& weights) const;
  OpeningOrder walk(const std::vector<int>& order, const Eigen::VectorXd& weights) const;
  Eigen::VectorXd probabilities() const;

  struct Signature {  // cases that are found alike
    std::vector<int> finds;
    unsigned mask = 0;
  };
  OpeningProblem problem_;
  std::vector<Signature> signatures_;
  std::vector<int> signature_of_;             // each case's
  std::vector<std::vector<double>> unfound_;  // [subset][signature]: share that is still unfound
};

}  // namespace railseep
