#pragma once

#include <Eigen/LU>

namespace railseep {

/// Linear algebra of the stepper for any matrix: dense LU with partial pivoting, storage kept from step to step.
///
/// Another policy (pattern_lu.hpp) offers the same four names: Matrix, resize, factorise, solve. resize() leaves the
/// Jacobian zero.
class DenseLu {
 public:
  using Matrix = Eigen::MatrixXd;

  /// Makes room for n states, here and in the Jacobian.
  void resize(Eigen::Index n, Matrix& jacobian) {
    jacobian.setZero(n, n);
    matrix_.resize(n, n);
    lu_ = Eigen::PartialPivLU<Eigen::MatrixXd>(n);
  }

  /// Prepares to solve with the matrix shift*I - J.
  void factorise(const Matrix& jacobian, double shift) {
    matrix_.noalias() = -jacobian;
    matrix_.diagonal().array() += shift;
    lu_.compute(matrix_);
  }

  /// x = (shift*I - J)^-1 b; x and b are two vectors.
  template <class Vector>
  void solve(const Eigen::VectorXd& b, Vector&& x) const {
    x.noalias() = lu_.solve(b);
  }

 private:
  Eigen::MatrixXd matrix_;
  Eigen::PartialPivLU<Eigen::MatrixXd> lu_;
};

}  // namespace railseep
