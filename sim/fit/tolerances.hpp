#pragma once

#include <Eigen/Core>
#include <memory>
#include <vector>

#include "fit/kalman_whitener.hpp"

namespace railseep {

/// What is granted to one log: how far what was measured may be from what is computed.
///
///     p(r) = max over widths w and sets z of samples:
///            chance_w * N(r; 0, C_w + sum_{i in z} s_i^2 e_i e_i') * wild^|z| * (1 - wild)^(n - |z|)
///
/// C_w is the covariance of the log with what the model may be off w times as large as usual: in some logs it is off by
/// more than in others, and none tells beforehand in which. Wider ones are tried as long as they help.
///
/// Single samples may say nothing: a share of them, each with so much doubt of its own that its value hardly counts. A
/// sample is judged by the others of its log: a deviation that all share is no wild sample, however it looks after
/// whitening. The sets are found greedily, the best sample first, and hold no more than an eighth of a log (4 of a
/// short one): where more look wild, it is the model that is.
///
/// Source: contaminated normal, Tukey, A survey of sampling from contaminated distributions (1960); scale mixture of
/// normals, Andrews & Mallows (1974); rank-one update of an inverse, Sherman & Morrison (1950) (all from memory).
struct LogTolerance {
  struct Width {
    double chance = 1;        // that it is this one [-]
    KalmanWhitener whitener;  // L_w, of C_w
  };

  /// @param widths narrowest first; residuals are whitened with its L
  /// @param doubt s_i of each sample, in the unit of r; @param wild share of samples that say nothing [-]
  LogTolerance(std::vector<Width> widths, const Eigen::VectorXd& doubt, double wild);

  struct Level {
    double penalty = 0;         // -ln chance_w + 1/2*ln(det C_w/det C_first)
    KalmanWhitener whitener;    // L_w
    Eigen::VectorXd precision;  // diagonal of C_w^-1
  };
  std::vector<Level> levels;
  Eigen::VectorXd doubt_squared;  // s_i^2
  double share = 0;               // wild

  Eigen::Index size() const { return doubt_squared.size(); }

  /// M = L_w^-1*L_first, from residuals whitened as in the first width to those of another; and M'. In place.
  void from_first(std::size_t width, Eigen::Ref<Eigen::MatrixXd> y) const;
  void from_first_transposed(std::size_t width, Eigen::Ref<Eigen::MatrixXd> y) const;
};

/// Whitened residuals as they count: without the wild samples, and less where a log's tolerance is wider.
class Weighing {
 public:
  double loss = 0;                  // -ln p, without the common n*ln sqrt(2 pi)
  std::vector<Eigen::Index> wild;   // samples
  std::vector<std::size_t> widths;  // of each log, 0: the narrowest

  /// W*x: x'Wx is the squared distance under the covariance that was chosen.
  Eigen::VectorXd apply(const Eigen::VectorXd& x) const;
  Eigen::MatrixXd apply(const Eigen::MatrixXd& x) const;

 private:
  friend class Tolerances;
  struct Removed {
    double share;
    Eigen::VectorXd direction;
  };
  /// The rows of one log: W = M'(I - sum share*direction*direction')M
  struct Part {
    Eigen::Index first, size;
    std::shared_ptr<const LogTolerance> log;
    std::size_t width;
    std::vector<Removed> removed;
  };
  template <typename Matrix>
  Matrix applied(const Matrix& x) const;

  std::vector<Part> parts_;   // of the logs where W is not I
  Eigen::VectorXd diagonal_;  // W itself, by Huber's loss; empty: by the parts
};

/// What is granted to all logs of an engine, one below the other.
class Tolerances {
 public:
  Tolerances() = default;  // plain normal

  /// Beyond so many deviations each residual counts by its size alone, not by its square: of what is far off each
  /// pulls, and none pulls all to itself. Source: Huber, Robust estimation of a location parameter (1964) (from memory)
  static Tolerances huber(double beyond);

  explicit Tolerances(std::vector<std::shared_ptr<const LogTolerance>> logs) : logs_(std::move(logs)) {}

  /// The same for residuals that were divided by so much more: all tolerances are as many times as wide, a wild
  /// sample's doubt as it was. These are wide already: none but the first of the widths is tried.
  Tolerances widened(double times) const;

  /// Without wider ones for logs that are further off.
  Tolerances narrowest() const { return widened(1); }

  bool finds_wild() const { return !logs_.empty(); }

  /// @param y whitened residuals of all logs
  Weighing weigh(const Eigen::VectorXd& y) const;
  double loss(const Eigen::VectorXd& y) const { return weigh(y).loss; }

 private:
  std::vector<std::shared_ptr<const LogTolerance>> logs_;
  double huber_ = 0;  // 0: not
  double wider_ = 1;
  bool all_widths_ = true;
};

}  // namespace railseep
