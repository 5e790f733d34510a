#pragma once

#include <Eigen/Core>
#include <functional>

#include "fit/tolerances.hpp"

namespace railseep {

/// A fit of standard-normal parameters to whitened residuals: minimises S(u) = loss(r(u)) + 1/2*|u|^2 within bounds.
///
/// u_i = 0 is the prior mean of a parameter and 1 its standard deviation, so the second term is the prior itself.
struct LeastSquaresProblem {
  /// r(u): one entry a measured value, whitened
  std::function<Eigen::VectorXd(const Eigen::VectorXd& u)> residuals;  // called by several threads at once
  Eigen::VectorXd least, most;                                         // bounds of u
  Tolerances tolerances;
  double settled = 0.02;  // decrease of S below which a step is the last
  bool renew = true;      // false: the Jacobian given only follows the steps, and is never computed anew
  bool confirm =
      true;  // false: an end where steps help little is believed without a new Jacobian; one where none helps is not
  int most_steps = 30;
};

struct LeastSquaresFit {
  Eigen::VectorXd u;           // best parameters found
  Eigen::VectorXd residuals;   // r(u)
  Eigen::MatrixXd jacobian;    // dr/du at u
  Eigen::MatrixXd covariance;  // inverse of J'WJ + I at u
  double cost = 0;             // S(u)
  double log_determinant = 0;  // ln det(J'WJ + I)
  double log_evidence = 0;     // Laplace: -S(u) - 1/2*ln det(J'WJ + I), up to what is common to all candidates
  int evaluations = 0;         // calls of the residuals
  int steps = 0;
  bool converged = false;
};

/// Levenberg-Marquardt with bounds by projection. The Jacobian is by one-sided differences; between renewals it follows
/// the steps by Broyden's rank-one update, and is renewed when a step disappoints and at the end. Where tolerances find
/// wild samples, Huber's loss leads near first; where it leads to a higher cost than the start has, the way straight
/// from there is tried too.
///
/// @param jacobian to begin with, such as that of a similar problem; empty: by differences at the start
/// Source: Marquardt (1963); Broyden (1965); wild samples left out anew at each step: iteratively reweighted least
/// squares, Holland and Welsch (1977); Laplace approximation of the evidence, MacKay, Information Theory, Inference,
/// and Learning Algorithms (2003), ch. 27 (all from memory).
LeastSquaresFit least_squares(const LeastSquaresProblem& problem, Eigen::VectorXd start, Eigen::MatrixXd jacobian = {});

/// The same for residuals that are linear, r + J*du, about a point u: where the search would end, without computing any
/// residual.
struct LinearFit {
  Eigen::VectorXd du;
  double cost = 0;             // S at u + du
  double log_determinant = 0;  // ln det(J'WJ + I) there
};
LinearFit linear_fit(const Eigen::VectorXd& u, const Eigen::VectorXd& residuals, const Eigen::MatrixXd& jacobian,
                     const Tolerances& tolerances, const Eigen::VectorXd& least, const Eigen::VectorXd& most);

}  // namespace railseep
