#include "fit/least_squares.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "fit/in_parallel.hpp"

namespace railseep {

namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double nearly_there = 1;  // the same before wild samples and wider tolerances are looked for
constexpr double far_off = 3;       // deviations: beyond, a residual only pulls until then
constexpr double first_reach =
    0.7;  // longest move of any parameter in one step, in prior standard deviations: far jumps land in other valleys;
constexpr double longest_reach = 3;   // it grows while the steps keep what they promise
constexpr double hardly_felt = 0.1;   // norm of a column that is not worth computing again
constexpr double moved_little = 0.3;  // a Jacobian this near to the end will do for the covariance

MatrixXd hessian_of(const Weighing& weighing, const MatrixXd& jacobian) {
  return jacobian.transpose() * weighing.apply(jacobian) + MatrixXd::Identity(jacobian.cols(), jacobian.cols());
}

VectorXd gradient_of(const Weighing& weighing, const VectorXd& u, const VectorXd& r, const MatrixXd& jacobian) {
  return jacobian.transpose() * weighing.apply(r) + u;
}

/// A parameter at a bound that wants further out is left where it is.
void hold_at_bounds(const VectorXd& u, const VectorXd& gradient, const VectorXd& least, const VectorXd& most,
                    MatrixXd& hessian) {
  for (Eigen::Index i = 0; i < u.size(); ++i) {
    const bool held = (u[i] <= least[i] && gradient[i] > 0) || (u[i] >= most[i] && gradient[i] < 0);
    if (held) hessian.row(i).setZero(), hessian.col(i).setZero(), hessian(i, i) = 1e30;
  }
}

double log_determinant(const Eigen::LLT<MatrixXd>& factor) {
  return 2 * factor.matrixLLT().diagonal().array().log().sum();
}

class Search {
 public:
  Search(const LeastSquaresProblem& problem, VectorXd start, MatrixXd jacobian)
      : problem_(problem),
        tolerances_(problem.tolerances),
        u_(inside(std::move(start))),
        r_(evaluate(u_)),
        jacobian_(std::move(jacobian)),
        stale_(jacobian_.size() > 0) {}

  LeastSquaresFit run() {
    if (jacobian_.size() == 0) renew();
    if (!tolerances_.finds_wild()) return straight();
    // Far off, many samples look wild, or all a log, and pull at nothing: Huber's loss leads near first. Where it leads
    // away, straight on is tried too.
    Search other = *this;
    tolerances_ = Tolerances::huber(far_off);
    descend(nearly_there);
    tolerances_ = problem_.tolerances;
    const bool led_away = other.cost(other.u_, other.r_) < cost(u_, r_);
    LeastSquaresFit found = straight();
    if (!led_away) return found;
    LeastSquaresFit beside = other.straight();
    LeastSquaresFit& better = beside.cost < found.cost ? beside : found;
    better.evaluations = found.evaluations + beside.evaluations;
    return std::move(better);
  }

 private:
  LeastSquaresFit straight() {
    fit_.converged = descend(problem_.settled);
    return finish();
  }

  /// Steps until one helps by less than `enough`. @return false when the number of steps was not enough
  bool descend(double enough) {
    double damping = 1e-5;
    for (int step = 0; step < problem_.most_steps; ++step) {
      const double before = cost(u_, r_);
      const bool better = try_step(damping);
      ++fit_.steps;
      const bool last = !better || before - cost(u_, r_) < enough;
      if (last && outdated() && (problem_.confirm || failed_))
        renew();  // before it is believed
      else if (last)
        return true;
    }
    return false;
  }

  VectorXd inside(VectorXd u) const { return u.cwiseMax(problem_.least).cwiseMin(problem_.most); }
  VectorXd evaluate(const VectorXd& u) {
    ++fit_.evaluations;
    return problem_.residuals(u);
  }
  double cost(const VectorXd& u, const VectorXd& r) const { return tolerances_.loss(r) + 0.5 * u.squaredNorm(); }
  bool near_renewal() const { return renewed_at_.size() > 0 && (u_ - renewed_at_).norm() < moved_little; }

  bool outdated() const { return problem_.renew && stale_ && !near_renewal(); }

  void renew() {
    if (jacobian_.size() == 0) jacobian_ = MatrixXd::Constant(r_.size(), u_.size(), 10);
    std::vector<Eigen::Index> felt;
    for (Eigen::Index i = 0; i < u_.size(); ++i)
      if (renewed_at_.size() == 0 || jacobian_.col(i).norm() > hardly_felt) felt.push_back(i);
    with_idle_threads(felt.size(), [&](std::size_t i) { forward_column(felt[i]); });
    fit_.evaluations += static_cast<int>(felt.size());
    renewed_at_ = u_;
    stale_ = false;
  }

  /// A difference wide enough to stand above the solver's noise, and no wider than moves the residuals by about one
  /// half in all.
  void forward_column(Eigen::Index i) {
    const double steep = jacobian_.col(i).norm();
    double width = std::clamp(0.5 / std::max(steep, 1e-9), 0.003, 0.3);
    if (u_[i] + width > problem_.most[i]) width = -width;
    VectorXd moved = u_;
    moved[i] += width;
    jacobian_.col(i) = (problem_.residuals(moved) - r_) / width;
  }

  void take(const VectorXd& next, const VectorXd& r) {
    const VectorXd move = next - u_;
    if (move.squaredNorm() > 1e-12) jacobian_ += (r - r_ - jacobian_ * move) * move.transpose() / move.squaredNorm();
    u_ = next;
    r_ = r;
    stale_ = true;
  }

  /// Shortens the step until it helps; a Jacobian that promised far too much is renewed.
  bool try_step(double& damping) {
    failed_ = false;
    const Weighing weighing = tolerances_.weigh(r_);
    const VectorXd gradient = gradient_of(weighing, u_, r_, jacobian_);
    MatrixXd hessian = hessian_of(weighing, jacobian_);
    hold_at_bounds(u_, gradient, problem_.least, problem_.most, hessian);
    const double before = cost(u_, r_);
    // What a whole step would gain if all were linear: nothing to be had is known without computing anything.
    if (0.5 * gradient.dot(hessian.llt().solve(gradient)) < 0.5 * problem_.settled) return false;
    for (int attempt = 0; attempt < (problem_.renew ? 8 : 4); ++attempt) {
      MatrixXd damped = hessian;
      damped.diagonal() *= 1.0 + damping;
      VectorXd move = -damped.llt().solve(gradient);
      move *= std::min(1.0, reach_ / std::max(move.cwiseAbs().maxCoeff(), 1e-9));
      const VectorXd next = inside(u_ + move);
      const VectorXd r = evaluate(next);
      const double gain = before - cost(next, r);
      if (gain > 0) {
        const double promised = before - cost(next, r_ + jacobian_ * (next - u_));
        take(next, r);
        damping = std::max(damping * 0.2, 1e-7);
        reach_ = std::clamp(gain > 0.6 * promised ? 2 * reach_ : 0.7 * reach_, 0.2, longest_reach);
        if (gain < 0.3 * promised && gain > problem_.settled && outdated()) renew();
        return true;
      }
      if (attempt == 1 && outdated()) {
        renew();
        return try_step(damping);
      }
      damping = std::max(damping * 8, 1e-2);
      reach_ = std::max(0.5 * reach_, 0.2);
    }
    failed_ = true;
    return false;
  }

  LeastSquaresFit finish() {
    const Eigen::LLT<MatrixXd> factor(hessian_of(tolerances_.weigh(r_), jacobian_));
    fit_.u = u_;
    fit_.residuals = r_;
    fit_.jacobian = jacobian_;
    fit_.covariance = factor.solve(MatrixXd::Identity(u_.size(), u_.size()));
    fit_.cost = cost(u_, r_);
    fit_.log_determinant = log_determinant(factor);
    fit_.log_evidence = -fit_.cost - 0.5 * fit_.log_determinant;
    return std::move(fit_);
  }

  const LeastSquaresProblem& problem_;
  Tolerances tolerances_;
  LeastSquaresFit fit_;
  VectorXd u_;
  VectorXd r_;
  MatrixXd jacobian_;
  VectorXd renewed_at_;  // where the Jacobian was computed by differences; empty: nowhere yet
  double reach_ = first_reach;
  bool failed_ = false;  // no step of the last try helped, though the Jacobian promised that one would
  bool stale_;           // not computed by differences at u
};

}  // namespace

LeastSquaresFit least_squares(const LeastSquaresProblem& problem, Eigen::VectorXd start, Eigen::MatrixXd jacobian) {
  return Search(problem, std::move(start), std::move(jacobian)).run();
}

LinearFit linear_fit(const VectorXd& u, const VectorXd& residuals, const MatrixXd& jacobian,
                     const Tolerances& tolerances, const VectorXd& least, const VectorXd& most) {
  VectorXd at = u, r = residuals;
  Weighing weighing = tolerances.weigh(r);
  double cost = weighing.loss + 0.5 * at.squaredNorm();
  for (int round = 0; round < 12; ++round) {
    const VectorXd gradient = gradient_of(weighing, at, r, jacobian);
    MatrixXd hessian = hessian_of(weighing, jacobian);
    hold_at_bounds(at, gradient, least, most, hessian);
    const VectorXd next = (at - hessian.llt().solve(gradient)).cwiseMax(least).cwiseMin(most);
    const VectorXd there = residuals + jacobian * (next - u);
    const Weighing then = tolerances.weigh(there);
    const double after = then.loss + 0.5 * next.squaredNorm();
    if (after >= cost - 1e-3) break;
    at = next, r = there, cost = after, weighing = then;
  }
  return {at - u, cost, log_determinant(Eigen::LLT<MatrixXd>(hessian_of(weighing, jacobian)))};
}

}  // namespace railseep
