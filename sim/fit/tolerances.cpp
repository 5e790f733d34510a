#include "fit/tolerances.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace railseep {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

namespace {

// Of one log no more than an eighth, or 4 of a short one: where more look wild, it is the model that is.
constexpr Index most_wild_share = 8, least_most_wild = 4;

struct Taken {
  Index sample;
  double share;
  VectorXd direction, along;
};

struct Judged {
  double gain = 0;  // -ln p is lower by it
  std::vector<Taken> taken;
};

/// The wild samples of one log. @param y whitened at this level
Judged judge(const LogTolerance::Level& level, const VectorXd& doubt_squared, double wild, const VectorXd& y) {
  const Index n = y.size();
  const auto most = static_cast<std::size_t>(std::max<Index>(least_most_wild, n / most_wild_share));
  const double odds = std::log((1 - wild) / wild);
  // spike_i: one unit of sample i alone, whitened. pull_i = spike_i'Wy and precision_i = spike_i'W*spike_i, while
  // W = I - sum share*direction*direction' grows; along_i = direction'spike_i
  Judged judged;
  VectorXd pull = y, precision = level.precision;
  level.whitener.whiten_transposed(pull);
  while (judged.taken.size() < most) {
    Index best = -1;
    double most_gain = 0;
    for (Index i = 0; i < n; ++i) {
      const double grown = 1 + doubt_squared[i] * precision[i];
      const double gain = 0.5 * doubt_squared[i] * pull[i] * pull[i] / grown - 0.5 * std::log(grown) - odds;
      if (gain > most_gain) most_gain = gain, best = i;
    }
    if (best < 0) break;
    VectorXd direction = VectorXd::Unit(n, best);  // W*spike_best
    level.whitener.whiten(direction);
    for (const Taken& one : judged.taken) direction -= one.share * one.along[best] * one.direction;
    const double share = doubt_squared[best] / (1 + doubt_squared[best] * precision[best]);
    VectorXd along = direction;
    level.whitener.whiten_transposed(along);
    pull -= share * pull[best] * along;
    precision -= share * along.cwiseAbs2();
    judged.gain += most_gain;
    judged.taken.push_back({best, share, std::move(direction), std::move(along)});
  }
  return judged;
}

}  // namespace

LogTolerance::LogTolerance(std::vector<Width> widths, const VectorXd& doubt, double wild)
    : doubt_squared(doubt.cwiseAbs2()), share(wild) {
  const double first = widths.front().whitener.log_determinant();
  for (Width& width : widths) {
    const double penalty = width.whitener.log_determinant() - first - std::log(width.chance);
    VectorXd precision = width.whitener.precision();
    levels.push_back({penalty, std::move(width.whitener), std::move(precision)});
  }
}

void LogTolerance::from_first(std::size_t width, Eigen::Ref<MatrixXd> y) const {
  if (width == 0) return;
  levels.front().whitener.colour(y);
  levels[width].whitener.whiten(y);
}

void LogTolerance::from_first_transposed(std::size_t width, Eigen::Ref<MatrixXd> y) const {
  if (width == 0) return;
  levels[width].whitener.whiten_transposed(y);
  levels.front().whitener.colour_transposed(y);
}

template <typename Matrix>
Matrix Weighing::applied(const Matrix& x) const {
  Matrix result = x;
  if (diagonal_.size() > 0) result.array().colwise() *= diagonal_.array();
  for (const Part& part : parts_) {
    Matrix rows = result.middleRows(part.first, part.size);
    part.log->from_first(part.width, rows);
    const Matrix whole = rows;
    for (const Removed& one : part.removed) rows -= one.share * one.direction * (one.direction.transpose() * whole);
    part.log->from_first_transposed(part.width, rows);
    result.middleRows(part.first, part.size) = rows;
  }
  return result;
}

VectorXd Weighing::apply(const VectorXd& x) const { return applied(x); }
MatrixXd Weighing::apply(const MatrixXd& x) const { return applied(x); }

Tolerances Tolerances::widened(double times) const {
  Tolerances wide = *this;
  wide.wider_ *= times;
  wide.all_widths_ = false;
  return wide;
}

Tolerances Tolerances::huber(double beyond) {
  Tolerances tolerances;
  tolerances.huber_ = beyond;
  return tolerances;
}

Weighing Tolerances::weigh(const VectorXd& y) const {
  Weighing weighing;
  if (huber_ > 0) {
    weighing.diagonal_ = (huber_ / y.array().abs().max(huber_));
    weighing.loss =
        (y.array().abs() > huber_).select(huber_ * (y.array().abs() - 0.5 * huber_), 0.5 * y.array().square()).sum();
    return weighing;
  }
  if (!finds_wild()) {
    weighing.loss = 0.5 * y.squaredNorm();
    return weighing;
  }
  Index first = 0;
  for (const std::shared_ptr<const LogTolerance>& log : logs_) {
    const Index n = log->size();
    const VectorXd doubt_squared = log->doubt_squared / (wider_ * wider_), rows = y.segment(first, n);
    double lowest = std::numeric_limits<double>::infinity();
    std::size_t width = 0;
    Judged judged;
    for (std::size_t k = 0; k < (all_widths_ ? log->levels.size() : 1); ++k) {
      const LogTolerance::Level& level = log->levels[k];
      VectorXd here = rows;
      log->from_first(k, here);
      Judged now = judge(level, doubt_squared, log->share, here);
      const double loss = 0.5 * here.squaredNorm() - now.gain + level.penalty;
      if (loss >= lowest) break;
      lowest = loss, width = k, judged = std::move(now);
    }
    weighing.loss += lowest - static_cast<double>(n) * std::log(1 - log->share);
    weighing.widths.push_back(width);
    for (const Taken& one : judged.taken) weighing.wild.push_back(first + one.sample);
    if (width > 0 || !judged.taken.empty()) {
      Weighing::Part& part = weighing.parts_.emplace_back(Weighing::Part{first, n, log, width, {}});
      for (Taken& one : judged.taken) part.removed.push_back({one.share, std::move(one.direction)});
    }
    first += n;
  }
  return weighing;
}

}  // namespace railseep
