#include "match/least_squares.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double settled = 0.02;     // decrease of S below which a step is the last
constexpr int most_steps = 25;
constexpr double longest_move = 0.7;  // of any parameter in one step, in prior standard deviations: far jumps land in other valleys

class Search {
 public:
  Search(const LeastSquaresProblem& problem, VectorXd start) : problem_(problem), u_(inside(std::move(start))), r_(evaluate(u_)) {}

  LeastSquaresFit run() {
    jacobian_ = MatrixXd::Constant(r_.size(), u_.size(), 10);
    double damping = 1e-4;
    while (!fit_.converged && fit_.steps < most_steps) {
      renew();
      const double before = cost(u_, r_);
      const bool better = try_step(damping);
      ++fit_.steps;
      fit_.converged = !better || before - cost(u_, r_) < settled;
    }
    return finish();
  }

 private:
  VectorXd inside(VectorXd u) const { return u.cwiseMax(problem_.least).cwiseMin(problem_.most); }
  VectorXd evaluate(const VectorXd& u) {
    ++fit_.evaluations;
    return problem_.residuals(u);
  }
  static double cost(const VectorXd& u, const VectorXd& r) { return 0.5 * (r.squaredNorm() + u.squaredNorm()); }

  void renew() {
    for (int i = 0; i < u_.size(); ++i) forward_column(i);
  }

  /// A difference wide enough to stand above the solver's noise, and no wider than moves the residuals by about one half in all.
  void forward_column(int i) {
    const double steep = jacobian_.col(i).norm();
    double width = std::clamp(0.5 / std::max(steep, 1e-9), 0.003, 0.05);
    if (u_[i] + width > problem_.most[i]) width = -width;
    VectorXd moved = u_;
    moved[i] += width;
    jacobian_.col(i) = (evaluate(moved) - r_) / width;
  }

  /// Shortens the step until it helps. A parameter at a bound that wants further out is left where it is.
  bool try_step(double& damping) {
    const VectorXd gradient = jacobian_.transpose() * r_ + u_;
    MatrixXd hessian = jacobian_.transpose() * jacobian_ + MatrixXd::Identity(u_.size(), u_.size());
    for (int i = 0; i < u_.size(); ++i) {
      const bool held = (u_[i] <= problem_.least[i] && gradient[i] > 0) || (u_[i] >= problem_.most[i] && gradient[i] < 0);
      if (held) hessian.row(i).setZero(), hessian.col(i).setZero(), hessian(i, i) = 1e30;
    }
    for (int attempt = 0; attempt < 8; ++attempt) {
      MatrixXd damped = hessian;
      damped.diagonal() *= 1.0 + damping;
      VectorXd move = -damped.llt().solve(gradient);
      move *= std::min(1.0, longest_move / move.cwiseAbs().maxCoeff());
      const VectorXd next = inside(u_ + move);
      const VectorXd r = evaluate(next);
      if (cost(next, r) < cost(u_, r_)) {
        u_ = next;
        r_ = r;
        damping = std::max(damping * 0.2, 1e-7);
        return true;
      }
      damping = std::max(damping * 8, 1e-2);
    }
    return false;
  }

  LeastSquaresFit finish() {
    const MatrixXd hessian = jacobian_.transpose() * jacobian_ + MatrixXd::Identity(u_.size(), u_.size());
    const Eigen::LLT<MatrixXd> factor(hessian);
    fit_.u = u_;
    fit_.residuals = r_;
    fit_.covariance = factor.solve(MatrixXd::Identity(u_.size(), u_.size()));
    fit_.log_evidence = -cost(u_, r_) - factor.matrixLLT().diagonal().array().log().sum();
    return std::move(fit_);
  }

  const LeastSquaresProblem& problem_;
  VectorXd u_;
  VectorXd r_;
  MatrixXd jacobian_;
  LeastSquaresFit fit_;
};

}  // namespace

LeastSquaresFit least_squares(const LeastSquaresProblem& problem, Eigen::VectorXd start) { return Search(problem, std::move(start)).run(); }

}  // namespace railseep
