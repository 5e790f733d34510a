#include "match/wild_samples.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

namespace railseep {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

namespace {

// Of one log no more than an eighth, or 4 of a short one: where more look wild, it is the model that is.
constexpr Index most_wild_share = 8, least_most_wild = 4;

}  // namespace

VectorXd Weighing::apply(const VectorXd& x) const {
  VectorXd result = x;
  for (const Removed& one : removed_) result -= one.share * one.direction.dot(x) * one.direction;
  return result;
}

MatrixXd Weighing::apply(const MatrixXd& x) const {
  MatrixXd result = x;
  for (const Removed& one : removed_) result -= one.share * one.direction * (one.direction.transpose() * x);
  return result;
}

void WildSamples::add(const MatrixXd& cholesky, const VectorXd& doubt) {
  Log log;
  log.spikes = cholesky.triangularView<Eigen::Lower>().solve(MatrixXd::Identity(cholesky.rows(), cholesky.cols()));
  log.doubt_squared = doubt.cwiseAbs2();
  log.precision = log.spikes.colwise().squaredNorm();
  logs_.push_back(std::move(log));
}

WildSamples WildSamples::widened(double times) const {
  WildSamples wide = *this;
  for (Log& log : wide.logs_) log.spikes /= times, log.precision /= times * times;
  return wide;
}

void WildSamples::judge(const Log& log, Index first, const VectorXd& y, Weighing& weighing) const {
  const Index n = log.spikes.cols();
  const auto most = static_cast<std::size_t>(std::max<Index>(least_most_wild, n / most_wild_share));
  const double odds = std::log((1 - share_) / share_);
  // pull_i = spike_i'Wy and precision_i = spike_i'W*spike_i, while W = I - sum share*direction*direction' grows; along_i = direction'spike_i
  struct Taken {
    double share;
    VectorXd direction, along;
  };
  std::vector<Taken> taken;
  VectorXd pull = log.spikes.triangularView<Eigen::Lower>().transpose() * y.segment(first, n), precision = log.precision;
  while (taken.size() < most) {
    Index best = -1;
    double most_gain = 0;
    for (Index i = 0; i < n; ++i) {
      const double grown = 1 + log.doubt_squared[i] * precision[i];
      const double gain = 0.5 * log.doubt_squared[i] * pull[i] * pull[i] / grown - 0.5 * std::log(grown) - odds;
      if (gain > most_gain) most_gain = gain, best = i;
    }
    if (best < 0) return;
    VectorXd direction = log.spikes.col(best);  // W*spike_best
    for (const Taken& one : taken) direction -= one.share * one.along[best] * one.direction;
    const double share = log.doubt_squared[best] / (1 + log.doubt_squared[best] * precision[best]);
    VectorXd along = log.spikes.triangularView<Eigen::Lower>().transpose() * direction;
    pull -= share * pull[best] * along;
    precision -= share * along.cwiseAbs2();
    VectorXd whole = VectorXd::Zero(y.size());
    whole.segment(first, n) = direction;
    weighing.removed_.push_back({share, std::move(whole)});
    weighing.wild.push_back(first + best);
    weighing.loss -= most_gain;
    taken.push_back({share, std::move(direction), std::move(along)});
  }
}

Weighing WildSamples::weigh(const VectorXd& y) const {
  Weighing weighing;
  weighing.loss = 0.5 * y.squaredNorm();
  if (none()) return weighing;
  weighing.loss -= static_cast<double>(y.size()) * std::log(1 - share_);
  Index first = 0;
  for (const Log& log : logs_) {
    judge(log, first, y, weighing);
    first += log.spikes.cols();
  }
  return weighing;
}

}  // namespace railseep
