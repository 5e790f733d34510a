#pragma once

#include <Eigen/SparseCore>
#include <memory>
#include <vector>

namespace railseep {

/// Linear algebra of the stepper: LU of a sparse matrix without any work on zeros.
///
/// The pattern of a circuit's Jacobian stays, so its elimination is planned once (least fill first, pivots on the
/// diagonal) and then only repeated with other numbers; work and memory follow the entries that there are. Pivots that
/// are not looked for may cost digits: the first solution after each elimination is held against the matrix, and where
/// it does not fit, this matrix is left to a sparse LU with partial pivoting. Source: diagonal pivots of least
/// (r-1)*(c-1), Markowitz, Management Science 3 (1957) 255; what is held against the matrix is the
///         componentwise backward error |b - A*x|/(|A|*|x| + |b|), Oettli & Prager, Numer. Math. 6 (1964) 405 (both
///         from memory).
class PatternLu {
 public:
  using Matrix = Eigen::SparseMatrix<double>;

  /// Prepares to solve with the matrix shift*I - J. @param jacobian compressed
  void factorise(const Matrix& jacobian, double shift);

  /// x = (shift*I - J)^-1 b; x and b are two vectors. All of x is not a number where the matrix is singular.
  template <class Vector>
  void solve(const Eigen::VectorXd& b, Vector&& x) {
    solve_into(b.data(), x.data());
  }

  bool left_to_pivoting() const { return left_to_pivoting_; }  // the last matrix
  long plans() const { return plans_; }                      // made so far: one for each pattern that followed another
  std::size_t entries() const { return values_.size(); }     // of both triangles and the diagonal
  std::size_t products() const { return products_.size(); }  // that one elimination takes

 private:
  // Rows and columns count in order of elimination. Both triangles lie column by column, the upper one from the last
  // column on: neighbours then change different rows, and none waits for the other.
  struct Entry {
    int row, column;
  };
  struct Product {
    int lower, upper, target;  // in values_: what is taken from the target
  };
  struct Pivoting;

  /// The pattern with all that elimination fills in: of each state the columns in its row, and the rows in its column.
  struct Filled {
    std::vector<std::vector<int>> rows, columns;
  };

  void plan(const Matrix& jacobian);
  void lay_out_triangles(Filled& filled, const std::vector<int>& turn);
  int place(int i, int j) const;
  void list_products(const Filled& filled);
  void eliminate();
  void solve_into(const double* b, double* x);
  void substitute(const double* b, double* x);
  bool fits(const double* b, const double* x);
  void start_pivoting();

  int n_ = 0;
  double shift_ = 0;
  Matrix jacobian_;
  bool tried_ = false, left_to_pivoting_ = false;
  long plans_ = 0;
  std::vector<int> order_;  // the states, as they are eliminated
  std::vector<Entry> lower_, upper_;
  std::vector<Product> products_;
  std::vector<int> lower_end_, upper_end_, products_end_;  // of each pivot
  std::vector<int> places_;                                // in values_, of each entry of the Jacobian
  std::vector<double> values_;                             // diagonal, lower, upper
  std::vector<double> per_pivot_, y_, residual_, scale_;
  std::shared_ptr<const Pivoting> pivoting_;  // of the last matrix that was left to it
};

}  // namespace railseep
