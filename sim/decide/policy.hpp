#pragma once

#include <Eigen/Core>
#include <functional>
#include <vector>

#include "decide/costs.hpp"

namespace railseep {

/// What a check costs and how its outcome depends on what is really the case.
struct CheckModel {
  Cost cost;
  Eigen::MatrixXd likelihood;            // one row a possibility, one column an outcome; rows add up to 1
  std::vector<std::size_t> setups = {};  // what must be set up for it, besides its own cost
};

/// What a belief is worth when nothing more is checked: expected cost; weights need not add up to 1, the worth is
/// proportional to them.
using Worth = std::function<Cost(const Eigen::VectorXd& weights)>;

/// How good a check is.
struct CheckValue {
  double bits = 0;           // mutual information between class and outcome
  Cost alone;                // expected cost of this check, then opening
  Cost expected;             // of this check, then at most one more, then opening
  Eigen::VectorXd outcomes;  // probability of each
  std::vector<int> then;     // best second check after each outcome; -1: open
};

/// Shannon entropy of the classes [bit]. @param class_of for each possibility
double entropy(const Eigen::VectorXd& weights, const std::vector<std::size_t>& class_of);

/// Mutual information of class and outcome [bit]: H(class) - sum_o P(o)*H(class|o).
double information(const Eigen::VectorXd& weights, const std::vector<std::size_t>& class_of,
                   const Eigen::MatrixXd& likelihood);

/// Expected cost and information of every check, by looking two checks ahead. Possibilities carry their severities, so
/// given one the outcomes of different checks are independent. The same for any number of threads.
///
///     V(k) = c_k + s_k + sum_o P(o)*min( W(b|o), min_(j != k) [ c_j + s_j(k) + sum_q P(q|o)*W(b|o,q) ] )
///
/// s_k is what its set-ups cost; s_j(k) what those cost that k has not set up already: an adapter is screwed in once.
///
/// @param class_of hypothesis of each possibility; @param tick is called between pieces of work and may throw to stop
/// @param setups cost of each; 0 of what is set up already
std::vector<CheckValue> value_checks(const Eigen::VectorXd& weights, const std::vector<std::size_t>& class_of,
                                     const std::vector<CheckModel>& checks, const Worth& worth, int threads = 0,
                                     const std::function<void()>& tick = {}, const std::vector<Cost>& setups = {});

/// A check as it stands beside the others and beside opening at once.
struct CheckStanding {
  Cost without;              // the best that can be done with at most one check that is not this
  bool pays = false;         // it, or it and another, is cheaper than without; or it is a quick look (below)
  bool nearly_best = false;  // of those that pay none is cheaper by more than near_tie
};

inline constexpr double near_tie =
    0.02;  // share of an expected sum by which prices and minutes are surely off: assumed
inline constexpr double quick_look = 1800;    // [s], assumed
inline constexpr double telling_share = 0.1;  // of what is not known, from which a look tells something; assumed
inline constexpr double much_longer = 4;      // times, assumed

/// Nobody opens for hours before a look of minutes that tells something and costs as good as nothing: it pays when the
/// sums are within near_tie, the look takes half an hour at most and the opening four times as long. (Common practice,
/// no source.)
/// @param own cost of each check, set-ups included; @param first_opening time of the first step without a check [s];
/// @param unknown_bits entropy of the classes
std::vector<CheckStanding> standings(const std::vector<CheckValue>& values, const std::vector<Cost>& own,
                                     const Cost& open, double first_opening, double unknown_bits);

/// Indices of the checks: those that pay first, of these the nearly best, the quickest first; the rest by their sums.
std::vector<std::size_t> ranking(const std::vector<CheckValue>& values, const std::vector<Cost>& own,
                                 const std::vector<CheckStanding>& standings);

/// What must still be set up for a check. @param after done before it, with what it set up; may be null
Cost setting_up(const CheckModel& check, const CheckModel* after, const std::vector<Cost>& setups);

}  // namespace railseep
