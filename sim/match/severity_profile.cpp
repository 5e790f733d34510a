#include "match/severity_profile.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

using Eigen::VectorXd;

constexpr double enough = 6;         // of cost above the best: e^-6 of the density there
constexpr double steep = 1.5;        // of cost from one point to the next: worth a look between them
constexpr double flat = 0.7;         // of cost from one point to the next: the next step may be longer
constexpr double longest_step = 0.8, shortest_step = 0.02;  // prior standard deviations
constexpr std::size_t most_points = 14;  // to either side
constexpr int rounds = 3;            // of looks between
constexpr double settled = 0.1;      // of cost

class Side {
 public:
  Side(const LeastSquaresProblem& problem, const LeastSquaresFit& fit, double direction)
      : problem_(problem), ridge_(fit.covariance.col(0) / fit.covariance(0, 0)), lowest_(fit.cost), direction_(direction) {
    problem_.settled = settled;
    problem_.renew = false;
    points_.push_back({fit.u[0], fit.cost, fit.u, fit.jacobian});
    step_ = std::clamp(std::sqrt(fit.covariance(0, 0)), shortest_step, 0.75 * longest_step);
  }

  std::vector<ProfilePoint> run() {
    const double least = problem_.least[0], most = problem_.most[0];
    while (points_.size() < most_points && points_.back().cost < lowest_ + enough) {
      const double before = points_.back().cost, at = std::clamp(points_.back().at + direction_ * step_, least, most);
      if (std::abs(at - points_.back().at) < 1e-6) break;
      points_.push_back(held(at, points_.size() - 1));
      if (points_.back().cost < before + flat) step_ = std::min(1.5 * step_, longest_step);
    }
    for (int round = 0; round < rounds; ++round) look_between(least, most);
    return std::move(points_);
  }

 private:
  void look_between(double least, double most) {
    for (std::size_t i = 1; i < points_.size(); ++i) {
      const ProfilePoint &a = points_[i - 1], &b = points_[i];
      if (std::abs(b.cost - a.cost) < steep || std::min(a.cost, b.cost) > lowest_ + enough || std::abs(b.at - a.at) < shortest_step) continue;
      const double at = std::clamp(0.5 * (a.at + b.at), least, most);
      points_.insert(points_.begin() + static_cast<std::ptrdiff_t>(i), held(at, i - 1));
      ++i;
    }
  }

  /// @param from index of the point it begins at: the way goes on as it went before it
  ProfilePoint held(double at, std::size_t from) const {
    const ProfilePoint& near = points_[from];
    VectorXd slope = ridge_;
    if (from > 0) slope = (near.u - points_[from - 1].u) / (near.at - points_[from - 1].at);
    VectorXd u = near.u + slope * (at - near.at);
    u[0] = at;
    LeastSquaresProblem problem = problem_;
    problem.least[0] = problem.most[0] = at;
    LeastSquaresFit fit = least_squares(problem, u, near.jacobian);
    return {at, fit.cost, std::move(fit.u), std::move(fit.jacobian)};
  }

  LeastSquaresProblem problem_;
  VectorXd ridge_;  // how the others go along at the best point
  double lowest_, direction_, step_;
  std::vector<ProfilePoint> points_;  // from the best outwards
};

}  // namespace

std::vector<ProfilePoint> severity_profile(const LeastSquaresProblem& problem, const LeastSquaresFit& fit) {
  std::vector<ProfilePoint> all = Side(problem, fit, -1).run();
  std::ranges::reverse(all);
  std::vector<ProfilePoint> up = Side(problem, fit, 1).run();
  all.insert(all.end(), std::make_move_iterator(up.begin() + 1), std::make_move_iterator(up.end()));
  return all;
}

namespace {

/// The points on either side of a place, and how far it is from the first to the second.
struct Between {
  const ProfilePoint &before, &after;
  double share;
};

Between find(const std::vector<ProfilePoint>& profile, double at) {
  const auto found = std::ranges::upper_bound(profile, at, {}, &ProfilePoint::at);
  const ProfilePoint& after = found == profile.end() ? profile.back() : *found;
  const ProfilePoint& before = found == profile.begin() ? profile.front() : *(found - 1);
  return {before, after, after.at > before.at ? (at - before.at) / (after.at - before.at) : 0};
}

}  // namespace

VectorXd on_profile(const std::vector<ProfilePoint>& profile, double at) {
  const auto [before, after, share] = find(profile, at);
  return before.u + share * (after.u - before.u);
}

double cost_on(const std::vector<ProfilePoint>& profile, double at) {
  const auto [before, after, share] = find(profile, at);
  return before.cost + share * (after.cost - before.cost);
}

}  // namespace railseep
