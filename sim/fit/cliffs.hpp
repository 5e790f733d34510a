#pragma once

#include <vector>

#include "fit/least_squares.hpp"

namespace railseep {

/// When a rise comes just before a sample, a little more air in the passages puts it behind, and the cost jumps: a
/// cliff. By the curvature at its edge, hardly any room is left to the unknowns; on the near side of the cliff there is
/// as much as elsewhere.
///
/// @param air which of the unknowns are air in passages
/// @return ln evidence by the curvature beside the cliffs, or that of the fit where none is or where that is more
double log_evidence_beside_cliffs(const LeastSquaresProblem& problem, const LeastSquaresFit& fit,
                                  const std::vector<Eigen::Index>& air);

}  // namespace railseep
