#include "match/least_squares.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double difference = 0.05;  // of a prior standard deviation: well above the solver's noise, well below any curvature

class Search {
 public:
  Search(const LeastSquaresProblem& problem, VectorXd start) : problem_(problem), u_(inside(std::move(start))), r_(evaluate(u_)) {}

  LeastSquaresFit run() {
    jacobian_.resize(r_.size(), u_.size());
    for (int renewal = 0; renewal < 6 && !fit_.converged; ++renewal) {
      renew();
      const double before = cost(u_, r_);
      descend();
      // Settled when even a fresh Jacobian finds hardly anything better.
      fit_.converged = before - cost(u_, r_) < 0.02;
    }
    renew();
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

  /// Steps downhill from one fresh Jacobian, as long as its updates lead on.
  void descend() {
    double damping = 1e-3;
    for (int step = 0; step < 12; ++step) {
      const double before = cost(u_, r_);
      if (!try_step(damping) || before - cost(u_, r_) < 0.01) return;
    }
  }

  void forward_column(int i) {
    VectorXd moved = u_;
    const double width = u_[i] + difference <= problem_.most[i] ? difference : -difference;
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
    for (int i = 0; i < problem_.always_fresh; ++i) forward_column(i);
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
