#pragma once

#include <vector>

#include "evidence/evidence.hpp"
#include "fit/tolerances.hpp"
#include "hypothesis/fault_fit.hpp"

namespace railseep {

/// How far a fit is off, in squares a sample under the narrowest tolerances: its whitened residuals, wild samples
/// counted as 9 instead, and how far it had to bend the nuisances.
///
///     (r'Wr + 9*wild + sum u_k^2)/n,   u_k the nuisances
///
/// For normal noise n times it is chi-square with n degrees of freedom: at the best u, |r|^2 + |u|^2 is the squared
/// distance of the data under noise and nuisances together. Source: as Bishop, Pattern Recognition and Machine Learning
/// (2006), eq. 2.115 (from memory).
double reduced_chi_square(const Tolerances& tolerances, const Eigen::VectorXd& residuals,
                          const Eigen::VectorXd& nuisances);

/// Is a fit further off than noise and model doubt allow in 99 of 100 cases? By chi-square.
bool badly_explained(const FaultFit& fit, const std::vector<CrankEvidence>& logs);

/// Whether it is so far off that it tells nothing: beyond that even where the model is three times as far off as usual
/// at every sample, as in one log of ten (NoiseModel::off).
bool explains_nothing(const FaultFit& fit, const std::vector<CrankEvidence>& logs);

}  // namespace railseep
