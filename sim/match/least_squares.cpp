#include "match/least_squares.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

class Search {
 public:
  Search(const LeastSquaresProblem& problem, VectorXd start) : problem_(problem), u_(inside(std::move(start))), r_(evaluate(u_)) {}

  LeastSquaresFit run() {
    jacobian_.resize(r_.size(), u_.size());
    for (int i = 0; i < u_.size(); ++i) forward_column(i);
    double damping = 1e-3;
    for (int step = 0, small = 0; step < 40 && small < 2; ++step) {
      const double before = cost(u_, r_);
      if (!try_step(damping)) {
        if (fresh_ || damping > 1e8) break;
        // The Jacobian by updates may have gone stale: renew it before giving up.
        for (int i = 0; i < u_.size(); ++i) forward_column(i);
        fresh_ = true;
        damping = 1e-3;
        continue;
      }
      small = before - cost(u_, r_) < 1e-3 ? small + 1 : 0;
      fit_.converged = small > 0;
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

  void forward_column(int i) {
    VectorXd moved = u_;
    const double width = u_[i] + 1e-3 <= problem_.most[i] ? 1e-3 : -1e-3;
    moved[i] += width;
    jacobian_.col(i) = (evaluate(moved) - r_) / width;
  }

  void central_column(int i) {
    VectorXd up = u_, down = u_;
    up[i] = std::min(u_[i] + 0.02, problem_.most[i]);
    down[i] = std::max(u_[i] - 0.02, problem_.least[i]);
    jacobian_.col(i) = (evaluate(up) - evaluate(down)) / (up[i] - down[i]);
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
      const VectorXd next = inside(u_ - damped.llt().solve(gradient));
      const VectorXd r = evaluate(next);
      if (cost(next, r) < cost(u_, r_)) {
        accept(next, r);
        damping = std::max(damping * 0.2, 1e-7);
        return true;
      }
      damping = std::max(damping * 8, 1e-2);
    }
    return false;
  }

  void accept(const VectorXd& next, const VectorXd& r) {
    const VectorXd moved = next - u_;
    jacobian_ += ((r - r_) - jacobian_ * moved) * moved.transpose() / moved.squaredNorm();
    u_ = next;
    r_ = r;
    fresh_ = false;
    for (int i = 0; i < problem_.always_fresh; ++i) forward_column(i);
  }

  LeastSquaresFit finish() {
    for (int i = 0; i < u_.size(); ++i) central_column(i);
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
  bool fresh_ = true;
};

}  // namespace

LeastSquaresFit least_squares(const LeastSquaresProblem& problem, Eigen::VectorXd start) { return Search(problem, std::move(start)).run(); }

}  // namespace railseep
