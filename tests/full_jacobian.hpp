#pragma once

#include <Eigen/SparseCore>
#include <utility>

namespace railseep {

/// A Jacobian that is written as a full matrix, as the stepper takes it: the entries that are not zero.
template <class Jacobian>
struct FullJacobian {
  Jacobian jacobian;

  template <class... More>
  requires requires(const Jacobian& j, const Eigen::VectorXd& x, Eigen::MatrixXd& full, double t, More&... more) {
    j(x, full, t, more...);
  }
  void operator()(const Eigen::VectorXd& x, Eigen::SparseMatrix<double>& entries, double t,
                  More&... by_time_and_rates) const {
    Eigen::MatrixXd full(entries);
    jacobian(x, full, t, by_time_and_rates...);
    entries = full.sparseView();
  }
};

/// A system for the stepper of rates and such a Jacobian.
template <class Rates, class Jacobian>
auto with_full_jacobian(Rates rates, Jacobian jacobian) {
  return std::pair{std::move(rates), FullJacobian<Jacobian>{std::move(jacobian)}};
}

}  // namespace railseep
