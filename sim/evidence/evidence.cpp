#include "evidence/evidence.hpp"

#include <algorithm>
#include <cmath>

#include "evidence/condense_log.hpp"

namespace railseep {

namespace {

constexpr double least_doubt = 8;  // of a wild sample, in standard deviations of a good one (assumed)

/// How fast what is measured rises around a sample, negative where it falls [unit/s].
double slope(const CrankEvidence& evidence, std::size_t i) {
  const std::size_t before = i == 0 ? 0 : i - 1, after = std::min(i + 1, evidence.time.size() - 1);
  return (evidence.measured[after] - evidence.measured[before]) / (evidence.time[after] - evidence.time[before]);
}

/// How far each sample still has to fall, in the unit of the channel: above where the end of the log is heading for
/// within 10 s, 0 while it only rises. Behind the check valve an overshoot is trapped and falls no faster than oil
/// leaks. Before the engine turns nothing has overshot: what is shown there is the sensor's own.
std::vector<double> left_to_fall(const CrankEvidence& evidence) {
  constexpr double ahead = 10;  // [s]
  const std::size_t last = evidence.time.size() - 1, third = last * 2 / 3;
  const double slope =
      (evidence.measured[last] - evidence.measured[third]) / (evidence.time[last] - evidence.time[third]);
  const double settled = std::max(0.0, evidence.measured[last] + ahead * std::min(0.0, slope));
  std::vector<double> all;
  bool turned = false;
  for (std::size_t i = 0; i <= last; ++i) {
    turned |= evidence.condition.speed.at(evidence.time[i]) > turning_speed;
    all.push_back(turned ? std::max(0.0, evidence.measured[i] - settled) : 0);
  }
  return all;
}

/// What the model may be off, as the state of a KalmanWhitener: a deviation that lasts, covariance of two samples
/// sd_i*sd_j*exp(-|t_i - t_j|/memory); the same of a rise that comes early or late or runs otherwise, because the
/// passages fill otherwise, sd_i = slope_i*share*t_i; and the height of an overshoot, which depends on what happened
/// between two samples and is off by the same share all the way down.
Eigen::Matrix3Xd deviations_of_model(const CrankEvidence& evidence, const NoiseModel& noise) {
  const std::vector<double> fall = left_to_fall(evidence);
  const double doubt = noise.overshoot + noise.overshoot_rate * evidence.sample_interval;
  Eigen::Matrix3Xd all(3, static_cast<Eigen::Index>(evidence.time.size()));
  for (std::size_t i = 0; i < evidence.time.size(); ++i) {
    const double lasting = std::hypot(noise.offset, noise.share * evidence.measured[i]);
    const double filling = noise.filling * evidence.time[i] * std::max(0.0, slope(evidence, i));
    all.col(static_cast<Eigen::Index>(i)) = Eigen::Vector3d(lasting, filling, doubt * fall[i]);
  }
  return all;
}

/// The time that counts for what the model forgets of its deviations. Of a condensed log it passes more slowly where
/// nothing bends for long: the model goes on being off as it was while the engine goes on as it did, and minutes of
/// that tell no more than seconds.
std::vector<double> time_of_deviations(const CrankEvidence& evidence, double memory) {
  if (evidence.averages.empty()) return evidence.time;
  std::vector<double> time{0};
  for (std::size_t i = 1; i < evidence.time.size(); ++i)
    time.push_back(time.back() + std::min(evidence.time[i] - evidence.time[i - 1], stretch_of_memory * memory));
  return time;
}

/// Independent noise of the sensor, its steps and the times of its samples. A mean has less noise, and may miss the
/// curve.
Eigen::VectorXd variance_of_samples(const CrankEvidence& evidence, const NoiseModel& noise, double resolution) {
  Eigen::VectorXd variance(static_cast<Eigen::Index>(evidence.time.size()));
  for (Eigen::Index i = 0; i < variance.size(); ++i) {
    const double timing = noise.timing * evidence.sample_interval * slope(evidence, static_cast<std::size_t>(i));
    variance[i] = noise.noise * noise.noise + resolution * resolution / 12;
    if (!evidence.averages.empty()) {
      const double bend = evidence.averages.bend[static_cast<std::size_t>(i)];
      variance[i] = variance[i] / evidence.averages.samples[static_cast<std::size_t>(i)] + bend * bend;
    }
    variance[i] += timing * timing;
  }
  return variance;
}

}  // namespace

double scatter(const CrankEvidence& evidence) {
  constexpr double rare = 0.6;  // [s] between sweeps (assumed)
  constexpr std::size_t fewest = 6;
  if (evidence.sample_interval > rare) return NAN;
  std::vector<double> bends;
  for (std::size_t i = std::max<std::size_t>(1, evidence.time.size() / 2); i + 1 < evidence.time.size(); ++i) {
    const double before = evidence.time[i] - evidence.time[i - 1], after = evidence.time[i + 1] - evidence.time[i];
    const double line = (evidence.measured[i - 1] * after + evidence.measured[i + 1] * before) / (before + after);
    bends.push_back(2 * std::abs(evidence.measured[i] - line));
  }
  if (bends.size() < fewest) return NAN;
  std::nth_element(bends.begin(), bends.begin() + static_cast<long>(bends.size() / 2), bends.end());
  return bends[bends.size() / 2] / (0.6745 * std::sqrt(6.0));
}

void weigh_samples(CrankEvidence& evidence, NoiseModel noise, double resolution) {
  noise.noise = std::fmax(noise.noise, evidence.averages.empty() ? scatter(evidence) : evidence.averages.scatter);
  evidence.assumed_tolerances = noise.assumed_tolerances;
  const Eigen::Matrix3Xd model = deviations_of_model(evidence, noise);
  const Eigen::VectorXd samples = variance_of_samples(evidence, noise, resolution);
  const std::vector<double> time = time_of_deviations(evidence, noise.memory);
  std::vector<LogTolerance::Width> widths;
  for (const auto& [times, chance] : noise.off)
    widths.push_back({chance, KalmanWhitener(time, noise.memory, times * model, samples)});
  double most = 0;
  for (const double value : evidence.measured) most = std::max(most, std::abs(value));
  const Eigen::VectorXd doubt = (least_doubt * widths.front().whitener.deviation()).cwiseMax(most);
  evidence.tolerance = std::make_shared<const LogTolerance>(std::move(widths), doubt, noise.wild);
}

Eigen::VectorXd CrankEvidence::whiten(const std::vector<double>& computed) const {
  Eigen::VectorXd r(static_cast<Eigen::Index>(time.size()));
  for (Eigen::Index i = 0; i < r.size(); ++i) r[i] = measured[i] - computed[i];
  tolerance->levels.front().whitener.whiten(r);
  return r;
}

bool assumed_tolerances(const std::vector<CrankEvidence>& logs) {
  return std::ranges::any_of(logs, &CrankEvidence::assumed_tolerances);
}

Tolerances tolerances_of(const std::vector<CrankEvidence>& logs) {
  std::vector<std::shared_ptr<const LogTolerance>> all;
  for (const CrankEvidence& log : logs) all.push_back(log.tolerance);
  return Tolerances(std::move(all));
}

}  // namespace railseep
