#pragma once

#include <Eigen/Core>
#include <vector>

#include "fit/least_squares.hpp"

namespace railseep {

/// A fit with its first parameter held, the others at their best.
struct ProfilePoint {
  double at = 0;    // the first parameter
  double cost = 0;  // S
  Eigen::VectorXd u;
  Eigen::MatrixXd jacobian;
};

/// From a fit outwards along its first parameter, to either side, until the cost has risen so far that hardly any
/// probability is left: each point is a fit of its own, begun where its neighbour ended. A parabola at the best point
/// says nothing of kinks and other valleys; this does.
///
/// @return in the order of the parameter, the fit itself among them. A point that costs less than the fit shows that
/// the fit was none. Source: profile likelihood with continuation, as Venzon & Moolgavkar, Appl. Stat. 37 (1988) 87
/// (from memory).
std::vector<ProfilePoint> severity_profile(const LeastSquaresProblem& problem, const LeastSquaresFit& fit);

/// Between two points by straight lines. @param at within the profile
Eigen::VectorXd on_profile(const std::vector<ProfilePoint>& profile, double at);
double cost_on(const std::vector<ProfilePoint>& profile, double at);

/// Somewhere a fit was looked at.
struct Place {
  Eigen::VectorXd u, residuals;
};

struct MultimodalProfile {
  LeastSquaresFit best;
  std::vector<ProfilePoint> points;  // rising; costs count from the volume of the nuisances at the best
};

/// The profile over all valleys that are found: that of the fit, of what it finds better, and of other valleys that
/// places seen before lead to. Between two valleys the lower profile counts.
/// @param places from where other valleys are looked for
MultimodalProfile multimodal_profile(const LeastSquaresProblem& problem, const LeastSquaresFit& fit,
                                     const std::vector<Place>& places);

}  // namespace railseep
