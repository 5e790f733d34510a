#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "quantity/quantity.hpp"

namespace railseep {

/// A reading sorted into ranges: edges rising; below the first, between two, from the last up.
struct Ranges {
  std::string before;  // "it reads "
  std::string after;   // " at rest"
  Quantity quantity = Quantity::ratio;
  std::string unit;
  std::vector<double> edges;  // SI

  std::size_t count() const { return edges.size() + 1; }
  /// "it reads 150 to 300 psi": ranges first to last together.
  std::string words(std::size_t first, std::size_t last) const;
};

/// Probability that a normal reading falls into each range.
Eigen::VectorXd range_probabilities(const Ranges& ranges, double mean, double deviation);

/// Which of several places stands out: each is heard at excess_i (above what a sound engine shows) with the same normal
/// error; the one with the highest counts when it is above the threshold; the last entry is that none is. By the
/// trapezoidal rule, steps of a tenth of the error.
Eigen::VectorXd standing_out(const std::vector<double>& excess, double error, double threshold);

/// A result that is simply wrong with probability slip, and then anything.
Eigen::VectorXd with_slips(const Eigen::VectorXd& probabilities, double slip);

}  // namespace railseep
