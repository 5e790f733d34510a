#pragma once

#include <cmath>
#include <numbers>

namespace railseep {

/// Density of a quantity with normal doubt, times its standard deviation, z standard deviations from its mean [-].
inline double normal_density(double z) { return std::exp(-0.5 * z * z) / std::sqrt(2 * std::numbers::pi); }

/// Probability that a quantity with normal doubt lies below its mean plus z standard deviations [-].
inline double normal_below(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

}  // namespace railseep
