#pragma once

#include <Eigen/SparseCore>
#include <utility>

namespace railseep {

/// A system for the stepper from rates and a Jacobian that is written as a full matrix: of it the entries that are not
/// zero are handed on.
template <class Rates, class Jacobian>
auto with_full_jacobian(Rates rates, Jacobian jacobian) {
  return std::pair{
      std::move(rates), [jacobian = std::move(jacobian)](
                            const Eigen::VectorXd& x, Eigen::SparseMatrix<double>& J, double t,
                            auto&... by_time) requires requires(Eigen::MatrixXd full){jacobian(x, full, t, by_time...);
}
{
  Eigen::MatrixXd full(J);
  jacobian(x, full, t, by_time...);
  J = full.sparseView();
}
};  // namespace railseep
}

}  // namespace railseep
