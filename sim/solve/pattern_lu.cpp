#include "solve/pattern_lu.hpp"

#include <Eigen/SparseLU>
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <queue>
#include <utility>

namespace railseep {

namespace {

constexpr double largest_misfit = 1e-13;  // beside what an equation is the sum of; rounding alone leaves 1e-15

using Sets = std::vector<std::vector<int>>;

bool same_pattern(const PatternLu::Matrix& a, const PatternLu::Matrix& b) {
  return a.rows() == b.rows() && a.nonZeros() == b.nonZeros() &&
         std::equal(a.outerIndexPtr(), a.outerIndexPtr() + a.outerSize() + 1, b.outerIndexPtr()) &&
         std::equal(a.innerIndexPtr(), a.innerIndexPtr() + a.nonZeros(), b.innerIndexPtr());
}

void remove(std::vector<int>& set, int member) {
  *std::find(set.begin(), set.end(), member) = set.back();
  set.pop_back();
}

/// Order in which to eliminate the states: next is the one that makes the fewest entries, of equals the first.
/// @param rows for each state the others in its row, @param columns in its column; become those left when its turn
/// comes, fill included
std::vector<int> least_fill_order(Sets& rows, Sets& columns) {
  const int n = static_cast<int>(rows.size());
  using Offer = std::pair<std::size_t, int>;  // entries made at most, state
  const auto offer = [&](int s) { return Offer{rows[s].size() * columns[s].size(), s}; };
  std::vector<Offer> all;
  for (int s = 0; s < n; ++s) all.push_back(offer(s));
  std::priority_queue offers(std::greater<Offer>(), std::move(all));
  std::vector<int> order, seen(n, -1);
  std::vector<char> gone(n, 0);
  while (static_cast<int>(order.size()) < n) {
    const auto [fill, k] = offers.top();
    offers.pop();
    if (gone[k] || fill != offer(k).first) continue;  // what it would make has changed since
    gone[k] = 1;
    order.push_back(k);
    for (const int i : columns[k]) remove(rows[i], k);
    for (const int j : rows[k]) remove(columns[j], k);
    for (const int i : columns[k]) {
      for (const int j : rows[i]) seen[j] = i;
      for (const int j : rows[k])
        if (j != i && seen[j] != i) rows[i].push_back(j), columns[j].push_back(i);
      for (const int j : rows[i]) seen[j] = -1;
    }
    for (const int i : columns[k]) offers.push(offer(i));
    for (const int j : rows[k]) offers.push(offer(j));
  }
  return order;
}

}  // namespace

struct PatternLu::Pivoting {
  explicit Pivoting(const Matrix& matrix) : lu(matrix) {}
  Eigen::SparseLU<Matrix> lu;
};

void PatternLu::plan(const Matrix& jacobian) {
  const int n = n_ = static_cast<int>(jacobian.rows());
  ++plans_;
  Filled filled{Sets(n), Sets(n)};
  for (int j = 0; j < n; ++j)
    for (Matrix::InnerIterator entry(jacobian, j); entry; ++entry)
      if (const int i = static_cast<int>(entry.row()); i != j) {
        filled.rows[i].push_back(j);
        filled.columns[j].push_back(i);
      }
  order_ = least_fill_order(filled.rows, filled.columns);
  std::vector<int> turn(n);
  for (int k = 0; k < n; ++k) turn[order_[k]] = k;
  lay_out_triangles(filled, turn);
  list_products(filled);
  places_.clear();
  for (int j = 0; j < n; ++j)
    for (Matrix::InnerIterator entry(jacobian, j); entry; ++entry) places_.push_back(place(turn[entry.row()], turn[j]));
  for (std::vector<double>* vector : {&per_pivot_, &y_, &residual_, &scale_}) vector->resize(n);
}

/// Both triangles, rows rising within a column. From here on the sets hold turns in place of states.
void PatternLu::lay_out_triangles(Filled& filled, const std::vector<int>& turn) {
  lower_.clear();
  upper_.clear();
  lower_end_.clear();
  Sets above(n_);
  for (int k = 0; k < n_; ++k) {
    std::vector<int>& below = filled.columns[order_[k]];
    for (int& state : below) state = turn[state];
    std::sort(below.begin(), below.end());
    for (const int i : below) lower_.push_back({i, k});
    lower_end_.push_back(static_cast<int>(lower_.size()));
    for (int& state : filled.rows[order_[k]]) {
      state = turn[state];
      above[state].push_back(k);
    }
  }
  upper_end_.assign(n_, 0);
  for (int k = n_ - 1; k >= 0; --k) {
    for (const int i : above[k]) upper_.push_back({i, k});
    upper_end_[k] = static_cast<int>(upper_.size());
  }
  values_.resize(n_ + lower_.size() + upper_.size());
}

/// Where in values_ the entry of a row and a column stands, both as turns.
int PatternLu::place(int i, int j) const {
  if (i == j) return i;
  const auto row_before = [](const Entry& entry, int row) { return entry.row < row; };
  if (i > j) {
    const auto begin = lower_.begin() + (j > 0 ? lower_end_[j - 1] : 0), end = lower_.begin() + lower_end_[j];
    return n_ + static_cast<int>(std::lower_bound(begin, end, i, row_before) - lower_.begin());
  }
  const auto begin = upper_.begin() + (j + 1 < n_ ? upper_end_[j + 1] : 0), end = upper_.begin() + upper_end_[j];
  const auto found = std::lower_bound(begin, end, i, row_before);
  return n_ + static_cast<int>(lower_.size()) + static_cast<int>(found - upper_.begin());
}

void PatternLu::list_products(const Filled& filled) {
  products_.clear();
  products_end_.clear();
  for (int k = 0; k < n_; ++k) {
    for (const int j : filled.rows[order_[k]])
      for (const int i : filled.columns[order_[k]]) products_.push_back({place(i, k), place(k, j), place(i, j)});
    products_end_.push_back(static_cast<int>(products_.size()));
  }
}

void PatternLu::factorise(const Matrix& jacobian, double shift) {
  if (!same_pattern(jacobian, jacobian_)) plan(jacobian);
  jacobian_ = jacobian, shift_ = shift;
  std::fill(values_.begin(), values_.end(), 0.0);
  const double* from = jacobian.valuePtr();
  for (std::size_t e = 0; e < places_.size(); ++e) values_[places_[e]] = -from[e];
  for (int k = 0; k < n_; ++k) values_[k] += shift;
  eliminate();
  tried_ = left_to_pivoting_ = false;
}

void PatternLu::eliminate() {
  double* value = values_.data();
  const Product* product = products_.data();
  for (int k = 0, lower = n_; k < n_; ++k) {
    const double per_pivot = per_pivot_[k] = 1.0 / value[k];
    for (; lower < n_ + lower_end_[k]; ++lower) value[lower] *= per_pivot;
    for (const Product* end = products_.data() + products_end_[k]; product < end; ++product)
      value[product->target] -= value[product->lower] * value[product->upper];
  }
  // Rows divided by their pivots: the way back then needs no division.
  double* upper = value + n_ + lower_.size();
  for (std::size_t e = 0; e < upper_.size(); ++e) upper[e] *= per_pivot_[upper_[e].row];
}

void PatternLu::solve_into(const double* b, double* x) {
  if (!left_to_pivoting_) {
    substitute(b, x);
    if (std::exchange(tried_, true) || fits(b, x)) return;
    start_pivoting();
  }
  Eigen::Map<Eigen::VectorXd> solution(x, n_);
  if (pivoting_->lu.info() == Eigen::Success)
    solution = pivoting_->lu.solve(Eigen::Map<const Eigen::VectorXd>(b, n_));
  else
    solution.setConstant(std::numeric_limits<double>::quiet_NaN());
}

void PatternLu::substitute(const double* b, double* x) {
  double* y = y_.data();
  const double* value = values_.data() + n_;
  for (int k = 0; k < n_; ++k) y[k] = b[order_[k]];
  for (const Entry& entry : lower_) y[entry.row] -= *value++ * y[entry.column];
  for (int k = 0; k < n_; ++k) y[k] *= per_pivot_[k];
  for (const Entry& entry : upper_) y[entry.row] -= *value++ * y[entry.column];
  for (int k = 0; k < n_; ++k) x[order_[k]] = y[k];
}

/// Whether x solves each equation but for rounding.
bool PatternLu::fits(const double* b, const double* x) {
  for (int i = 0; i < n_; ++i) {
    const double own = shift_ * x[i];
    residual_[i] = b[i] - own, scale_[i] = std::abs(b[i]) + std::abs(own);
  }
  for (int j = 0; j < n_; ++j)
    for (Matrix::InnerIterator entry(jacobian_, j); entry; ++entry) {
      const double part = entry.value() * x[j];
      residual_[entry.row()] += part, scale_[entry.row()] += std::abs(part);
    }
  for (int i = 0; i < n_; ++i)
    if (!(std::abs(residual_[i]) <= largest_misfit * scale_[i])) return false;
  return true;
}

void PatternLu::start_pivoting() {
  left_to_pivoting_ = true;
  Matrix identity(n_, n_);
  identity.setIdentity();
  pivoting_ = std::make_shared<const Pivoting>(shift_ * identity - jacobian_);
}

}  // namespace railseep
