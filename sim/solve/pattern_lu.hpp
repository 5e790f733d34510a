#pragma once

#include <vector>

#include "solve/linear_solver.hpp"

namespace railseep {

/// Linear algebra of the stepper for circuits, where most of the Jacobian is zero for good: LU without any work on zeros.
///
/// The pattern is what was ever nonzero; its elimination is planned once (least fill first, pivots on the diagonal) and then only repeated
/// with other numbers. A pivot that is mostly cancellation, or small beside what is taken from it, would cost digits: then this matrix is
/// left to DenseLu.
/// Source: diagonal pivots of least (r-1)*(c-1), Markowitz, Management Science 3 (1957) 255 (from memory).
class PatternLu {
 public:
  using Matrix = Eigen::MatrixXd;

  void resize(Eigen::Index n, Matrix& jacobian);

  /// Prepares to solve with the matrix shift*I - J.
  void factorise(const Matrix& jacobian, double shift);

  /// x = (shift*I - J)^-1 b; x and b are two vectors.
  template <class Vector>
  void solve(const Eigen::VectorXd& b, Vector&& x) const {
    if (left_to_dense_)
      dense_.solve(b, x);
    else
      substitute(b.data(), x.data());
  }

  bool left_to_dense() const { return left_to_dense_; }

 private:
  // Rows and columns count in order of elimination. Both triangles lie column by column, the upper one from the last column on: neighbours
  // then change different rows, and none waits for the other.
  struct Entry {
    int row, column;
  };
  struct Source {
    int place, from;  // in values_, in the Jacobian
  };
  struct Product {
    int lower, upper, target;  // in values_: what is taken from the target
  };

  void plan(const Matrix& jacobian);
  void substitute(const double* b, double* x) const;
  bool eliminate();  // @return whether it kept its digits

  int n_ = 0;
  bool left_to_dense_ = false;
  std::vector<char> pattern_;  // n*n, as the Jacobian lies in memory
  std::vector<int> order_;     // the states, as they are eliminated
  std::vector<Entry> lower_, upper_;
  std::vector<Product> products_;
  std::vector<int> lower_end_, products_end_;  // of each pivot
  std::vector<Source> sources_;
  std::vector<double> values_;   // diagonal, lower, upper
  std::vector<double> made_of_;  // sum of the sizes of what each value was made of
  std::vector<double> diagonal_, per_pivot_;
  mutable std::vector<double> y_;
  DenseLu dense_;
};

}  // namespace railseep
