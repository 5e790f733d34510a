#include "solve/pattern_lu.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

constexpr double least_pivot = 1e-5;  // beside the largest that it was made of

/// Order in which to eliminate the states: next is the one that makes the fewest entries. Fill is added to the pattern (row + n*column).
std::vector<int> least_fill_order(std::vector<char>& pattern, int n) {
  std::vector<int> order;
  std::vector<char> gone(n, 0);
  for (int k = 0; k < n; ++k) {
    int best = -1, least = n * n;
    for (int s = 0; s < n; ++s) {
      if (gone[s]) continue;
      int row = 0, column = 0;
      for (int o = 0; o < n; ++o)
        if (!gone[o] && o != s) row += pattern[s + n * o], column += pattern[o + n * s];
      if (row * column < least) best = s, least = row * column;
    }
    gone[best] = 1;
    order.push_back(best);
    for (int i = 0; i < n; ++i)
      if (!gone[i] && pattern[i + n * best])
        for (int j = 0; j < n; ++j)
          if (!gone[j] && pattern[best + n * j]) pattern[i + n * j] = 1;
  }
  return order;
}

}  // namespace

void PatternLu::resize(Eigen::Index n, Matrix& jacobian) {
  n_ = static_cast<int>(n);
  dense_.resize(n, jacobian);
  pattern_.assign(static_cast<std::size_t>(n_) * n_, 0);
  for (int i = 0; i < n_; ++i) pattern_[i + n_ * i] = 1;
  diagonal_.resize(n_), per_pivot_.resize(n_), y_.resize(n_);
  plan(jacobian);
}

void PatternLu::plan(const Matrix& jacobian) {
  const int n = n_;
  for (int at = 0; at < n * n; ++at) pattern_[at] |= jacobian.data()[at] != 0;
  std::vector<char> filled = pattern_;
  order_ = least_fill_order(filled, n);
  const auto at_turn = [&](int row, int column) { return order_[row] + n * order_[column]; };
  std::vector<int> place(filled.size(), -1);  // where an entry of the matrix is kept
  int next = 0;
  lower_.clear(), upper_.clear(), lower_end_.clear();
  for (int k = 0; k < n; ++k) place[at_turn(k, k)] = next++;
  for (int k = 0; k < n; ++k) {
    for (int i = k + 1; i < n; ++i)
      if (filled[at_turn(i, k)]) place[at_turn(i, k)] = next++, lower_.push_back({i, k});
    lower_end_.push_back(static_cast<int>(lower_.size()));
  }
  for (int k = n - 1; k > 0; --k)
    for (int i = 0; i < k; ++i)
      if (filled[at_turn(i, k)]) place[at_turn(i, k)] = next++, upper_.push_back({i, k});
  values_.resize(next), made_of_.resize(next);

  products_.clear(), products_end_.clear(), sources_.clear();
  for (int k = 0; k < n; ++k) {
    for (int i = k + 1; i < n; ++i)
      for (int j = k + 1; j < n; ++j)
        if (filled[at_turn(i, k)] && filled[at_turn(k, j)]) products_.push_back({place[at_turn(i, k)], place[at_turn(k, j)], place[at_turn(i, j)]});
    products_end_.push_back(static_cast<int>(products_.size()));
  }
  for (int at = 0; at < n * n; ++at)
    if (pattern_[at]) sources_.push_back({place[at], at});
}

void PatternLu::factorise(const Matrix& jacobian, double shift) {
  const double* from = jacobian.data();
  int nonzero = 0, expected = 0;
  for (int at = 0; at < n_ * n_; ++at) nonzero += from[at] != 0;
  for (const Source& source : sources_) expected += from[source.from] != 0;
  if (nonzero != expected) plan(jacobian);

  double* value = values_.data();
  std::fill(values_.begin(), values_.end(), 0.0);
  for (const Source& source : sources_) value[source.place] = -from[source.from];
  for (int k = 0; k < n_; ++k) diagonal_[k] = value[k] += shift;
  left_to_dense_ = !eliminate();
  if (left_to_dense_) dense_.factorise(jacobian, shift);
}

bool PatternLu::eliminate() {
  double *value = values_.data(), *made_of = made_of_.data();
  std::fill(made_of_.begin(), made_of_.end(), 0.0);
  const Product* product = products_.data();
  for (int k = 0, lower = n_; k < n_; ++k) {
    const double pivot = std::abs(value[k]), started = std::abs(diagonal_[k]);
    if (!(std::min(pivot, started) >= least_pivot * (started + made_of[k]))) return false;
    const double per_pivot = per_pivot_[k] = 1.0 / value[k];
    for (; lower < n_ + lower_end_[k]; ++lower) value[lower] *= per_pivot;
    for (const Product* end = products_.data() + products_end_[k]; product < end; ++product) {
      const double taken = value[product->lower] * value[product->upper];
      value[product->target] -= taken;
      made_of[product->target] += std::abs(taken);
    }
  }
  // Rows divided by their pivots: the way back then needs no division.
  double* upper = value + n_ + lower_.size();
  for (std::size_t e = 0; e < upper_.size(); ++e) upper[e] *= per_pivot_[upper_[e].row];
  return true;
}

void PatternLu::substitute(const double* b, double* x) const {
  double* y = y_.data();
  const double* value = values_.data() + n_;
  for (int k = 0; k < n_; ++k) y[k] = b[order_[k]];
  for (const Entry& entry : lower_) y[entry.row] -= *value++ * y[entry.column];
  for (int k = 0; k < n_; ++k) y[k] *= per_pivot_[k];
  for (const Entry& entry : upper_) y[entry.row] -= *value++ * y[entry.column];
  for (int k = 0; k < n_; ++k) x[order_[k]] = y[k];
}

}  // namespace railseep
