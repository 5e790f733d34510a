#pragma once

#include <Eigen/Core>
#include <vector>

namespace railseep {

/// A whitened residual as its wild samples leave it: these no longer count, the others count as before.
class Weighing {
 public:
  double loss = 0;                // -ln p, without the common n*ln sqrt(2 pi)
  std::vector<Eigen::Index> wild;  // samples

  /// W*x: x'Wx is the squared distance with the wild samples' doubt in the covariance.
  Eigen::VectorXd apply(const Eigen::VectorXd& x) const;
  Eigen::MatrixXd apply(const Eigen::MatrixXd& x) const;

 private:
  friend class WildSamples;
  struct Removed {
    double share;
    Eigen::VectorXd direction;  // of the whole residual
  };
  std::vector<Removed> removed_;  // W = I - sum share*direction*direction'
};

/// Single samples of a log may say nothing: a share of them, each with so much doubt of its own that its value hardly counts.
///
///     p(r) = max over sets z of samples: N(r; 0, C + sum_{i in z} s_i^2 e_i e_i') * wild^|z| * (1 - wild)^(n - |z|)
///
/// C is the covariance of the log, L its Cholesky factor, y = r/L the whitened residual. A sample is judged by the others of its log: a deviation
/// that all share is no wild sample, however it looks after whitening. The sets are found greedily, the best sample first, and hold
/// no more than an eighth of a log (4 of a short one): where more look wild, it is the model that is.
///
/// Source: contaminated normal, Tukey, A survey of sampling from contaminated distributions (1960) (from memory); rank-one update of an inverse,
/// Sherman & Morrison (1950) (from memory).
class WildSamples {
 public:
  WildSamples() = default;  // none: plain normal
  explicit WildSamples(double share) : share_(share) {}

  /// Adds a log below those added before. @param cholesky L, lower; @param doubt s_i of each sample, in the unit of r
  void add(const Eigen::MatrixXd& cholesky, const Eigen::VectorXd& doubt);

  /// The same for residuals that were divided by so much more: all tolerances are as many times as wide, a wild sample's doubt as it was.
  WildSamples widened(double times) const;

  bool none() const { return logs_.empty() || share_ <= 0; }

  /// @param y whitened residuals of all logs, one below the other
  Weighing weigh(const Eigen::VectorXd& y) const;
  double loss(const Eigen::VectorXd& y) const { return weigh(y).loss; }

 private:
  struct Log {
    Eigen::MatrixXd spikes;  // column i: whitened, one unit of sample i alone
    Eigen::VectorXd doubt_squared, precision;  // s_i^2; |column i|^2
  };
  void judge(const Log& log, Eigen::Index first, const Eigen::VectorXd& y, Weighing& weighing) const;

  double share_ = 0;
  std::vector<Log> logs_;
};

}  // namespace railseep
