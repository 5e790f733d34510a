#include "fit/profile.hpp"

#include <algorithm>
#include <cmath>

#include "fit/in_parallel.hpp"

namespace railseep {

namespace {

using Eigen::VectorXd;

constexpr double enough = 5;  // of cost above the best: e^-5 of the density there
constexpr double steep = 2;   // of cost from one point to the next: worth a look between them
constexpr double flat = 0.7;  // of cost from one point to the next: the next step may be longer
constexpr double longest_step = 0.8, shortest_step = 0.02;  // prior standard deviations
constexpr std::size_t most_points = 14;                     // to either side
constexpr int rounds = 3;                                   // of looks between
constexpr double settled = 0.1;                             // of cost
constexpr int most_restarts = 2;
constexpr double better =
    0.1;  // of cost: a point of the profile below the best fit by more is where the search goes on
constexpr std::size_t most_looks = 4;  // for other valleys
constexpr double worth_a_look = 25;    // of cost above the best, by the linear guess
constexpr int first_look_steps = 4, look_steps = 10;
constexpr double out_of_reach = 20;   // of cost above the best after the first steps: nothing that matters is near
constexpr double other_valley = 0.5;  // of cost below what is known there

class Side {
 public:
  Side(const LeastSquaresProblem& problem, const LeastSquaresFit& fit, double direction)
      : problem_(problem),
        ridge_(fit.covariance.col(0) / fit.covariance(0, 0)),
        lowest_(fit.cost),
        direction_(direction) {
    problem_.settled = settled;
    problem_.confirm = false;
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
      if (std::abs(b.cost - a.cost) < steep || std::min(a.cost, b.cost) > lowest_ + enough ||
          std::abs(b.at - a.at) < shortest_step)
        continue;
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
  std::vector<ProfilePoint> all, up;
  with_idle_threads(2, [&](std::size_t i) {
    if (i == 0)
      all = Side(problem, fit, -1).run();
    else
      up = Side(problem, fit, 1).run();
  });
  std::ranges::reverse(all);
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

namespace {

/// ln of the volume that the nuisances have left, but for a constant.
double nuisance_volume(const LeastSquaresFit& fit) {
  return 0.5 * (fit.log_determinant + std::log(fit.covariance(0, 0)));
}

/// The best fit and its profile; where the profile shows a better one, those.
MultimodalProfile followed(const LeastSquaresProblem& problem, LeastSquaresFit best) {
  MultimodalProfile whole{std::move(best), {}};
  for (int restart = 0;; ++restart) {
    whole.points = severity_profile(problem, whole.best);
    const ProfilePoint& lowest = *std::ranges::min_element(whole.points, {}, &ProfilePoint::cost);
    if (restart == most_restarts || lowest.cost > whole.best.cost - better) return whole;
    LeastSquaresFit found = least_squares(problem, lowest.u, lowest.jacobian);
    if (found.cost > whole.best.cost - better) return whole;
    whole.best = std::move(found);
  }
}

/// The lower of two profiles, where both are known.
std::vector<ProfilePoint> lower(const std::vector<ProfilePoint>& a, const std::vector<ProfilePoint>& b) {
  std::vector<ProfilePoint> all;
  const auto add = [&all](const std::vector<ProfilePoint>& from, const std::vector<ProfilePoint>& other) {
    for (const ProfilePoint& point : from) {
      const bool beyond = point.at < other.front().at || point.at > other.back().at;
      if (beyond || point.cost < cost_on(other, point.at)) all.push_back(point);
    }
  };
  add(a, b), add(b, a);
  std::ranges::stable_sort(all, {}, &ProfilePoint::at);
  const auto same = [](const ProfilePoint& x, const ProfilePoint& y) { return y.at - x.at < 1e-6; };
  all.erase(std::unique(all.begin(), all.end(), same), all.end());
  return all;
}

/// Costs of one count for the volume of the nuisances at the best of the other.
void join(MultimodalProfile& whole, MultimodalProfile other) {
  const double shift = nuisance_volume(other.best) - nuisance_volume(whole.best);
  if (other.best.cost + shift < whole.best.cost) {
    for (ProfilePoint& point : whole.points) point.cost -= shift;
    whole.best = std::move(other.best);
  } else {
    for (ProfilePoint& point : other.points) point.cost += shift;
  }
  whole.points = lower(whole.points, other.points);
}

LeastSquaresProblem held_at(LeastSquaresProblem problem, double severity) {
  problem.least[0] = problem.most[0] = severity;
  return problem;
}

/// Places by what they promise if it were linear there, best first.
std::vector<const Place*> promising(const LeastSquaresProblem& problem, const LeastSquaresFit& best,
                                    const std::vector<Place>& places) {
  std::vector<std::pair<double, const Place*>> order;
  for (const Place& place : places) {
    const LeastSquaresProblem held = held_at(problem, place.u[0]);
    const double cost =
        linear_fit(place.u, place.residuals, best.jacobian, problem.tolerances, held.least, held.most).cost;
    if (cost < best.cost + worth_a_look) order.emplace_back(cost, &place);
  }
  std::ranges::stable_sort(order, {}, [](const auto& one) { return one.first; });
  std::vector<const Place*> all;
  for (std::size_t i = 0; i < std::min(order.size(), most_looks); ++i) all.push_back(order[i].second);
  return all;
}

}  // namespace

MultimodalProfile multimodal_profile(const LeastSquaresProblem& problem, const LeastSquaresFit& fit,
                                     const std::vector<Place>& places) {
  MultimodalProfile whole = followed(problem, fit);
  LeastSquaresProblem quick = problem;
  quick.renew = false, quick.settled = settled;
  for (const Place* place : promising(problem, whole.best, places)) {
    const double at = place->u[0];
    quick.most_steps = first_look_steps;
    LeastSquaresFit there = least_squares(held_at(quick, at), place->u, whole.best.jacobian);
    if (there.cost > whole.best.cost + out_of_reach) continue;
    quick.most_steps = look_steps - first_look_steps;
    if (!there.converged) there = least_squares(held_at(quick, at), there.u, there.jacobian);
    const bool known = at >= whole.points.front().at && at <= whole.points.back().at;
    if (there.cost > std::min(known ? cost_on(whole.points, at) : INFINITY, whole.best.cost + enough) - other_valley)
      continue;
    join(whole, followed(problem, least_squares(problem, there.u, there.jacobian)));
  }
  return whole;
}

}  // namespace railseep
