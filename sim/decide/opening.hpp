#pragma once

#include <Eigen/Core>
#include <vector>

#include "decide/costs.hpp"

namespace railseep {

/// One thing that may be wrong: behind which groups it is found, and what it takes.
struct OpeningCase {
  struct Find {
    int group = 0;
    Cost repair;         // once it is seen: putting it right and proving it
    double visible = 1;  // chance that it is seen when its group is opened [-]
    int trial = -1;      // that renews it without its being seen; -1: none does
  };
  double probability = 0;
  std::vector<Find> finds;  // one a fault; none: nothing that opening could find
  Cost left;                // when one stops with this unfound: comeback, or the search elsewhere
};

/// A part renewed on suspicion, because no look shows whether it is the fault. Paid whether it was or not.
struct Trial {
  int group = 0;  // that must be open
  Cost cost;      // part, labour, and the proof that tells whether it was the fault
};

/// Groups are opened one after another. Behind each one looks; a fault that is there is seen as often as it is visible,
/// repaired and proved. What is not visible can be tried: its part is renewed and the engine proved, and if that was
/// wrong, price, labour and proof are lost. One may stop at any time and pay what is left.
struct OpeningProblem {
  std::vector<Cost> groups;  // opening and looking
  std::vector<OpeningCase> cases;
  std::vector<Trial> trials = {};
};

inline constexpr std::size_t most_opening_steps = 13;  // groups and trials: 2^steps states

/// A step of the search by its number: below the number of groups, to open that group; from there on the trials.
struct OpeningOrder {
  std::vector<int> steps;       // to be done in this order while nothing is proved; then one stops
  Cost expected;                // of everything, until it is proved or given up
  std::vector<double> reached;  // probability that one comes to each
  std::vector<double> found;    // probability that the search ends well there
  double unfound = 0;           // probability that one stops with a fault of the oil side unfound
};

/// The order of least expected money, by dynamic programming over the subsets of steps that have been done:
///
///     F(S) = min( sum_h W(S,h)*left_h,
///                 min_(g not in S) [ W(S)*c_g + sum_(h in g) p_h*v_h*repair_h + F(S + g) ],
///                 min_(t not in S, its group in S) [ W(S)*c_t + F(S + t) ] )
///
/// W(S,h) = p_h*(1 - P(all faults of h are found in S)); a fault is found with its visibility v_h once its group is in
/// S, and for certain once its trial is. For one visible fault a case, independent costs and no stopping the order is
/// that of falling p/c (Kalagnanam and Henrion 1990, A comparison of decision analysis and expert rules for sequential
/// diagnosis). With two faults in a case the order is not changed after the first is found (an approximation).
class Opening {
 public:
  /// @throws Error for more than most_opening_steps steps, or a visibility outside 0 to 1
  explicit Opening(OpeningProblem problem);

  const OpeningProblem& problem() const { return problem_; }

  /// @param weights one a case, in place of the problem's probabilities; need not add up to 1: everything is
  /// proportional to them
  OpeningOrder best(const Eigen::VectorXd& weights) const;
  OpeningOrder best() const;

  /// Expected cost of the best order alone: what a belief is worth. Called thousands of times.
  Cost value(const Eigen::VectorXd& weights) const;

  /// What a given order costs, in which one never stops early. @param steps different ones, a trial after its group
  OpeningOrder follow(const std::vector<int>& steps) const;

 private:
  struct Table;
  void solve(const Eigen::VectorXd& weights, Table& table) const;
  OpeningOrder walk(const std::vector<int>& steps, const Eigen::VectorXd& weights) const;
  Eigen::VectorXd probabilities() const;
  std::size_t steps() const { return problem_.groups.size() + problem_.trials.size(); }
  bool possible(std::size_t subset, std::size_t step) const;  // not yet done, and a trial's group is open
  const Cost& cost_of(std::size_t step) const;
  std::size_t steps_of(const OpeningCase& one) const;  // that could find it, as a subset

  struct Chance {  // that one fault of a case is found
    int group, trial;
    double visible;
    bool operator==(const Chance&) const = default;
    double found(std::size_t subset, std::size_t groups) const;
  };
  OpeningProblem problem_;
  std::vector<std::vector<Chance>> signatures_;  // of cases that are found alike
  std::vector<int> signature_of_;                // each case's
  Eigen::Matrix<double, -1, -1, Eigen::RowMajor>
      unfound_;              // (subset that is reachable, signature): share that is still unfound
  std::vector<int> row_of_;  // in it, of each subset; -1: a part in it is tried behind a closed cover
};

}  // namespace railseep
