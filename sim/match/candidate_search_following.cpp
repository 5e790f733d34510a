#include <algorithm>
#include <cmath>

#include "match/candidate_search.hpp"

namespace railseep {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double better =
    0.1;  // of cost: a point of the profile below the best fit by more is where the search goes on
constexpr double ends_behind = 4;  // of cost: a profile that ends nearer to the best has left probability out

}  // namespace

bool CandidateSearch::follow(const CandidateSearch& other) {
  if (insensitive_ && other.row_.size() == 1 && (row_.front().residuals - other.row_.front().residuals).norm() < 1e-9)
    leader_ = &other;
  return follows();
}

void CandidateSearch::follow_twin(const CandidateSearch& twin) { leader_ = &twin; }

/// Unknowns of a twin as this one counts them: the severity where it is as bad.
VectorXd CandidateSearch::as_own(VectorXd u) const {
  u[0] = fit_.unknowns[0].coordinate(leader_->fit_.unknowns[0].value(u[0]));
  return u.cwiseMax(problem_.least).cwiseMin(problem_.most);
}

MatrixXd CandidateSearch::as_own(MatrixXd jacobian) const {
  jacobian.col(0) *= fit_.unknowns[0].spread / leader_->fit_.unknowns[0].spread;
  return jacobian;
}

void CandidateSearch::update_from_leader() {
  if (updated_at_ == leader_->neg_log_evidence() || !fit_.trouble.empty()) return;
  fit_.trouble = leader_->fit_.trouble;
  expected_ = leader_->expected_;
  guard([this] { insensitive_ ? update_insensitive() : update_twin(); });
  updated_at_ = leader_->neg_log_evidence();
}

void CandidateSearch::update_insensitive() {
  if (!leader_->found_) return;
  LeastSquaresFit same = *leader_->found_;
  const Index size = same.u.size() + 1;
  VectorXd u = VectorXd::Zero(size);
  u.tail(size - 1) = same.u;
  same.u = std::move(u);
  MatrixXd jacobian = MatrixXd::Zero(same.jacobian.rows(), size);
  jacobian.rightCols(size - 1) = same.jacobian;
  same.jacobian = std::move(jacobian);
  MatrixXd covariance = MatrixXd::Identity(size, size);
  covariance.bottomRightCorner(size - 1, size - 1) = same.covariance;
  same.covariance = std::move(covariance);
  beside_ = leader_->beside_, beside_cost_ = leader_->beside_cost_;
  take(std::move(same));
  fit_.log_evidence = found_->log_evidence + gain_beside_cliffs();
}

void CandidateSearch::update_twin() {
  row_ = leader_->row_;
  for (Place& place : row_) place.u = as_own(place.u);
  if (!leader_->found_) {
    fit_.u = as_own(leader_->best_so_far());
    return;
  }
  compute_finely();
  LeastSquaresProblem problem = problem_;
  problem.renew = false;
  take(least_squares(problem, as_own(leader_->found_->u), as_own(leader_->found_->jacobian)));
  const double beside =
      leader_->fit_.log_evidence - leader_->found_->log_evidence;  // the cliffs are of the air, not of the severity
  beside_ = found_->log_evidence + beside, beside_cost_ = found_->cost;
  fit_.log_evidence = found_->log_evidence + std::max(0.0, beside);
}

/// The other's profile with the prior of this severity in place of its own, after polish().
/// @return empty where the other was not profiled, or not as far as this one needs it
std::vector<ProfilePoint> CandidateSearch::profile_of_twin() {
  std::vector<ProfilePoint> points;
  for (const ProfilePoint& point : leader_->profile_) {
    const double at = fit_.unknowns[0].coordinate(leader_->fit_.unknowns[0].value(point.at));
    if (at < problem_.least[0] || at > problem_.most[0]) continue;
    points.push_back({at, point.cost + 0.5 * (at * at - point.at * point.at), as_own(point.u), as_own(point.jacobian)});
  }
  if (points.empty()) return points;
  const ProfilePoint& lowest = *std::ranges::min_element(points, {}, &ProfilePoint::cost);
  if (lowest.cost < found_->cost - better) {
    LeastSquaresFit found = least_squares(problem_, lowest.u, lowest.jacobian);
    if (found.cost < found_->cost) take(std::move(found));
  }
  const auto ends_early = [&](const ProfilePoint& end, double bound) {
    return end.cost < found_->cost + ends_behind && std::abs(end.at - bound) > 1e-3;
  };
  if (ends_early(points.front(), problem_.least[0]) || ends_early(points.back(), problem_.most[0])) return {};
  const auto after = std::ranges::upper_bound(points, found_->u[0], {}, &ProfilePoint::at);
  points.insert(after, {found_->u[0], found_->cost, found_->u, found_->jacobian});
  return points;
}

}  // namespace railseep
