#pragma once

#include <Eigen/Core>
#include <functional>

namespace railseep {

/// A fit of standard-normal parameters to whitened residuals: minimises S(u) = 1/2*|r(u)|^2 + 1/2*|u|^2 within bounds.
///
/// u_i = 0 is the prior mean of a parameter and 1 its standard deviation, so the second term is the prior itself.
struct LeastSquaresProblem {
  /// r(u): one entry a measured value, each of unit variance
  std::function<Eigen::VectorXd(const Eigen::VectorXd& u)> residuals;
  Eigen::VectorXd least, most;  // bounds of u
};

struct LeastSquaresFit {
  Eigen::VectorXd u;           // best parameters found
  Eigen::VectorXd residuals;   // r(u)
  Eigen::MatrixXd covariance;  // inverse of J'J + I at u
  double log_evidence = 0;     // Laplace: -S(u) - 1/2*ln det(J'J + I), up to what is common to all candidates
  int evaluations = 0;         // calls of the residuals
  int steps = 0;
  bool converged = false;
};

/// Levenberg-Marquardt with bounds by projection. The Jacobian is by one-sided differences; the
/// covariance uses the one before the last, small step.
///
/// Source: Marquardt (1963); Laplace approximation of the evidence, MacKay, Information Theory, Inference, and Learning
/// Algorithms (2003), ch. 27 (from memory).
LeastSquaresFit least_squares(const LeastSquaresProblem& problem, Eigen::VectorXd start);

}  // namespace railseep
