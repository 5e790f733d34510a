#include "fit/kalman_whitener.hpp"

#include <cmath>

namespace railseep {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

namespace {

/// From one sample to the next the first two states fade, the third stays.
void fade(Vector3d& state, double forget) { state[0] *= forget, state[1] *= forget; }

}  // namespace

KalmanWhitener::KalmanWhitener(const std::vector<double>& time, double memory, const Eigen::Matrix3Xd& seen,
                               const VectorXd& noise)
    : steps_(time.size()) {
  Matrix3d covariance = Matrix3d::Identity();  // of the state, by the samples before
  for (std::size_t i = 0; i < steps_.size(); ++i) {
    Step& step = steps_[i];
    const auto at = static_cast<Index>(i);
    step.forget = i == 0 ? 1 : std::exp(-(time[i] - time[i - 1]) / memory);
    const Vector3d fading(step.forget, step.forget, 1);
    covariance = fading.asDiagonal() * covariance * fading.asDiagonal();
    covariance(0, 0) += 1 - step.forget * step.forget, covariance(1, 1) += 1 - step.forget * step.forget;
    step.seen = seen.col(at);
    const Vector3d shared = covariance * step.seen;
    const double variance = step.seen.dot(shared) + noise[at];
    step.gain = shared / variance;
    step.deviation = std::sqrt(variance);
    step.whole = std::sqrt(step.seen.squaredNorm() + noise[at]);
    covariance -= step.gain * shared.transpose();
  }
}

void KalmanWhitener::whiten(Eigen::Ref<MatrixXd> r) const {
  for (auto column : r.colwise()) {
    Vector3d state = Vector3d::Zero();
    for (Index i = 0; i < size(); ++i) {
      const Step& step = steps_[static_cast<std::size_t>(i)];
      fade(state, step.forget);
      const double innovation = column[i] - step.seen.dot(state);
      state += step.gain * innovation;
      column[i] = innovation / step.deviation;
    }
  }
}

void KalmanWhitener::colour(Eigen::Ref<MatrixXd> y) const {
  for (auto column : y.colwise()) {
    Vector3d state = Vector3d::Zero();
    for (Index i = 0; i < size(); ++i) {
      const Step& step = steps_[static_cast<std::size_t>(i)];
      fade(state, step.forget);
      const double innovation = column[i] * step.deviation;
      column[i] = step.seen.dot(state) + innovation;
      state += step.gain * innovation;
    }
  }
}

// The transposed operations run the same steps backwards: `state` is what later samples ask of the state here.

void KalmanWhitener::whiten_transposed(Eigen::Ref<MatrixXd> y) const {
  for (auto column : y.colwise()) {
    Vector3d state = Vector3d::Zero();
    for (Index i = size(); i-- > 0;) {
      const Step& step = steps_[static_cast<std::size_t>(i)];
      column[i] = column[i] / step.deviation + step.gain.dot(state);
      state -= step.seen * column[i];
      fade(state, step.forget);
    }
  }
}

void KalmanWhitener::colour_transposed(Eigen::Ref<MatrixXd> x) const {
  for (auto column : x.colwise()) {
    Vector3d state = Vector3d::Zero();
    for (Index i = size(); i-- > 0;) {
      const Step& step = steps_[static_cast<std::size_t>(i)];
      const double sample = column[i];
      column[i] = step.deviation * (sample + step.gain.dot(state));
      state += step.seen * sample;
      fade(state, step.forget);
    }
  }
}

double KalmanWhitener::log_determinant() const {
  double sum = 0;
  for (const Step& step : steps_) sum += std::log(step.deviation);
  return sum;
}

VectorXd KalmanWhitener::precision() const {
  VectorXd diagonal(size());
  Matrix3d later = Matrix3d::Zero();  // variance of what later samples ask of the state, for white samples
  for (Index i = size(); i-- > 0;) {
    const Step& step = steps_[static_cast<std::size_t>(i)];
    const double variance = step.deviation * step.deviation;
    diagonal[i] = 1 / variance + step.gain.dot(later * step.gain);
    const Matrix3d update = Matrix3d::Identity() - step.gain * step.seen.transpose();
    later = update.transpose() * later * update + step.seen * step.seen.transpose() / variance;
    const Vector3d fading(step.forget, step.forget, 1);
    later = fading.asDiagonal() * later * fading.asDiagonal();
  }
  return diagonal;
}

VectorXd KalmanWhitener::deviation() const {
  VectorXd all(size());
  for (Index i = 0; i < size(); ++i) all[i] = steps_[static_cast<std::size_t>(i)].whole;
  return all;
}

}  // namespace railseep
