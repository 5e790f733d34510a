#pragma once

#include <Eigen/Core>
#include <vector>

namespace railseep {

/// The lower Cholesky factor L of a covariance C = L*L' between the samples of one log, as a Kalman filter: each
/// operation is one pass over the samples, and memory is in proportion to their number.
///
///     C_ij = (a_i*a_j + b_i*b_j)*exp(-|t_i - t_j|/memory) + c_i*c_j + (i == j)*noise_i
///
/// Two Ornstein-Uhlenbeck processes and one constant, all of unit variance, are the state; sample i sees them by (a_i,
/// b_i, c_i). The filter's innovations over their standard deviations are L^-1*r. The smoother, which runs backwards,
/// gives L'^-1*y and the diagonal of the inverse.
///
/// Source: innovations of a filter as a Cholesky factor, Kailath (1968); exponential covariance as a state, Hartikainen
/// & Saerkkae (2010); smoother in terms of the inverse covariance, de Jong & Penzer, Diagnosing shocks in time series
/// (1998) (all from memory). Valid: times rise, memory and noise above 0.
class KalmanWhitener {
 public:
  /// @param time   of the samples, rising [s]; @param memory [s]
  /// @param seen   columns (a_i, b_i, c_i), in the unit of a sample
  /// @param noise  variance of each sample alone
  KalmanWhitener(const std::vector<double>& time, double memory, const Eigen::Matrix3Xd& seen,
                 const Eigen::VectorXd& noise);

  Eigen::Index size() const { return static_cast<Eigen::Index>(steps_.size()); }

  // In place, column by column:
  void whiten(Eigen::Ref<Eigen::MatrixXd> r) const;             // r -> L^-1*r
  void colour(Eigen::Ref<Eigen::MatrixXd> y) const;             // y -> L*y
  void whiten_transposed(Eigen::Ref<Eigen::MatrixXd> y) const;  // y -> L'^-1*y
  void colour_transposed(Eigen::Ref<Eigen::MatrixXd> x) const;  // x -> L'*x

  double log_determinant() const;     // ln det L
  Eigen::VectorXd precision() const;  // diagonal of C^-1
  Eigen::VectorXd deviation() const;  // root of the diagonal of C

 private:
  struct Step {
    Eigen::Vector3d seen;
    Eigen::Vector3d gain;  // what the state learns from one unit of innovation
    double forget = 0;     // factor of the first two states from the sample before to this one
    double deviation = 0;  // of the innovation
    double whole = 0;      // of the sample
  };
  std::vector<Step> steps_;
};

}  // namespace railseep
