#include "match/goodness_of_fit.hpp"

#include <boost/math/distributions/chi_squared.hpp>

namespace railseep {

double reduced_chi_square(const Tolerances& tolerances, const Eigen::VectorXd& residuals,
                          const Eigen::VectorXd& nuisances) {
  constexpr double wild_counts_as = 9;
  if (residuals.size() == 0) return 1;
  const Weighing weighing = tolerances.narrowest().weigh(residuals);
  return (residuals.dot(weighing.apply(residuals)) + wild_counts_as * static_cast<double>(weighing.wild.size()) +
          nuisances.squaredNorm()) /
         static_cast<double>(residuals.size());
}

namespace {

/// @param times as wide as they are the tolerances would be
bool beyond_chance(const FaultFit& fit, const std::vector<CrankEvidence>& logs, double times) {
  double samples = 0;
  for (const CrankEvidence& log : logs) samples += static_cast<double>(log.time.size());
  return samples > 0 && fit.reduced_chi_square * samples >
                            times * times * boost::math::quantile(boost::math::chi_squared(samples), 0.99);
}

}  // namespace

bool badly_explained(const FaultFit& fit, const std::vector<CrankEvidence>& logs) {
  return beyond_chance(fit, logs, 1);
}

bool explains_nothing(const FaultFit& fit, const std::vector<CrankEvidence>& logs) {
  constexpr double furthest_off = 3;
  return beyond_chance(fit, logs, furthest_off);
}

}  // namespace railseep
