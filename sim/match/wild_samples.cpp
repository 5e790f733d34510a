#include "match/wild_samples.hpp"

#include <Eigen/Cholesky>
#include <cmath>

namespace railseep {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

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
  const double odds = std::log((1 - share_) / share_);
  // W*spike_i of the log's part, and from it pull_i = spike_i'Wy and precision_i = spike_i'W*spike_i, while W grows
  MatrixXd spikes;
  VectorXd pull = log.spikes.transpose() * y.segment(first, n), precision = log.precision;
  for (;;) {
    Index best = -1;
    double most = 0;
    for (Index i = 0; i < n; ++i) {
      const double grown = 1 + log.doubt_squared[i] * precision[i];
      const double gain = 0.5 * log.doubt_squared[i] * pull[i] * pull[i] / grown - 0.5 * std::log(grown) - odds;
      if (gain > most) most = gain, best = i;
    }
    if (best < 0) return;
    if (spikes.size() == 0) spikes = log.spikes;
    const VectorXd direction = spikes.col(best);
    const double share = log.doubt_squared[best] / (1 + log.doubt_squared[best] * precision[best]);
    const VectorXd along = log.spikes.transpose() * direction;  // spike_k'W*spike_best
    pull -= share * pull[best] * along;
    precision -= share * along.cwiseAbs2();
    spikes -= share * direction * along.transpose();
    VectorXd whole = VectorXd::Zero(y.size());
    whole.segment(first, n) = direction;
    weighing.removed_.push_back({share, std::move(whole)});
    weighing.wild.push_back(first + best);
    weighing.loss -= most;
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
