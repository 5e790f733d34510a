#pragma once

#include <Eigen/Core>

namespace railseep {

/// How the entries of a whitened residual are distributed: normal, and a few of them wild.
///
///     p(r) = (1 - wild)*N(r; 0, 1) + wild*N(r; 0, width^2)
///
/// Source: contaminated normal, Tukey, A survey of sampling from contaminated distributions (1960) (from memory). The defaults are assumed.
struct Tails {
  double wild = 0;   // share of samples that say nothing, 0: plain normal [-]
  double width = 8;  // their standard deviation in those of the others [-]

  double loss(double r) const;    // -ln p, without the common ln sqrt(2 pi)
  double weight(double r) const;  // loss'(r)/r: 1 for a good sample, towards 1/width^2 for a wild one

  double loss(const Eigen::VectorXd& r) const;              // sum
  Eigen::VectorXd weights(const Eigen::VectorXd& r) const;  // one each
};

}  // namespace railseep
