#pragma once

#include <vector>

namespace railseep {

/// How far the match believes itself. An engine is never quite the model, and now and then all that is granted for it
/// is not enough: the truth then lies further behind than its evidence says it may. Over made-up engines that deviate
/// from the model (tests/study/README.md) one job in ten was misled so, intervals were a sixth too narrow, and their
/// tails too thin. All three are allowed for here, by one number each, found with one set of jobs and proved with
/// another. Where the tolerances were measured on the very kind of machine, there is nothing to allow for
/// (NoiseModel::assumed_tolerances).
///
/// Source of the ideas: a posterior raised to a power below 1 where the model is wrong, Miller & Dunson, Robust
/// Bayesian Inference via Coarsening (2019); evidence with errors that have long tails; a share of another distribution
/// mixed in, Berger & Berliner, Annals of Statistics 14 (1986) 461 (all from memory). The numbers are the study's.

/// What it counts that the logs speak against a candidate. @param behind the best, ln evidence of the logs, 0 or more;
/// @return at most that:
///
///     3*ln(1 + behind/3)
double tempered_log_odds(double behind);

/// A posterior's ln density as far as it is believed: what the evidence says to the power 0.7, the prior as it is.
/// @param at coordinate of the severity: 0 at the mean of its prior, 1 a standard deviation away
double tempered_log_density(double log_density, double at);

/// In so many of all jobs the logs mislead, and only what is known without them counts [-].
inline constexpr double misleading_log_share = 0.05;

/// Probabilities with that share mixed in. @param told by all that is known; @param untold without the logs; as many of
/// both
std::vector<double> mixed_with_prior(std::vector<double> told, const std::vector<double>& untold,
                                     double share = misleading_log_share);

}  // namespace railseep
