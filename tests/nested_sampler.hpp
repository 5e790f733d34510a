#pragma once

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <functional>
#include <random>
#include <vector>

namespace railseep {

/// What nested sampling found: the evidence, and the posterior of the first coordinate as weighted points.
struct NestedResult {
  double log_evidence = 0, error = 0;            // one standard deviation: sqrt(H/live)
  std::vector<std::pair<double, double>> first;  // (u[0], weight), rising; the weights add up to 1
  long calls = 0;

  double cdf(double u) const {
    double sum = 0;
    for (const auto& [at, weight] : first) sum += at <= u ? weight : 0;
    return sum;
  }
};

/// Integral of a likelihood over a standard normal prior that is cut off at bounds, to check approximations against.
///
///     Z = integral L dX,   X_i = exp(-i/live): share of the prior whose likelihood is above that of the i-th worst
///     point
///
/// The worst live point is replaced by one drawn from the prior above its likelihood: slices along random directions of
/// the live points' covariance, started at another live point. Source: Skilling, Nested sampling for general Bayesian
/// computation, Bayesian Analysis 1 (2006) 833; slices Neal, Ann. Statist. 31 (2003) 705 (from memory).
class NestedSampler {
 public:
  using LogLikelihood = std::function<double(const Eigen::VectorXd&)>;

  NestedSampler(LogLikelihood log_likelihood, Eigen::VectorXd least, Eigen::VectorXd most, unsigned seed)
      : log_likelihood_(std::move(log_likelihood)), least_(std::move(least)), most_(std::move(most)), random_(seed) {}

  /// @param slices taken one after another for each new point
  NestedResult run(int live, int slices) {
    std::vector<Point> points;
    for (int i = 0; i < live; ++i) points.push_back(point(from_prior()));
    std::vector<std::pair<Point, double>> dead;  // with ln weight
    NestedResult result;
    double log_x = 0, log_z = -INFINITY;
    const double shrink = std::log1p(-std::exp(-1.0 / live));  // ln(1 - X_i+1/X_i)
    for (int i = 0;; ++i) {
      if (i % live == 0) learn_shape(points);
      const auto worst = std::min_element(points.begin(), points.end(),
                                          [](const Point& a, const Point& b) { return a.log_l < b.log_l; });
      const double best = std::max_element(points.begin(), points.end(), [](const Point& a, const Point& b) {
                            return a.log_l < b.log_l;
                          })->log_l;
      if (best + log_x < log_z - 5) break;  // what is left holds less than 1 %; it is added below
      dead.emplace_back(*worst, log_x + shrink + worst->log_l);
      log_z = add(log_z, dead.back().second);
      log_x -= 1.0 / live;
      *worst = above(points, worst - points.begin(), slices);
    }
    for (const Point& p : points)
      dead.emplace_back(p, log_x - std::log(live) + p.log_l), log_z = add(log_z, dead.back().second);
    double information = 0;
    for (const auto& [p, log_weight] : dead) {
      const double weight = std::exp(log_weight - log_z);
      information += weight * (p.log_l - log_z);
      result.first.emplace_back(p.u[0], weight);
    }
    std::sort(result.first.begin(), result.first.end());
    result.log_evidence = log_z, result.error = std::sqrt(std::max(0.0, information) / live), result.calls = calls_;
    return result;
  }

 private:
  struct Point {
    Eigen::VectorXd u;
    double log_l;
  };

  static double add(double a, double b) {
    return a > b ? a + std::log1p(std::exp(b - a)) : b + std::log1p(std::exp(a - b));
  }
  double uniform() { return std::uniform_real_distribution<>()(random_); }
  bool inside(const Eigen::VectorXd& u) const {
    return (u.array() >= least_.array()).all() && (u.array() <= most_.array()).all();
  }

  Point point(Eigen::VectorXd u) {
    ++calls_;
    const double log_l = log_likelihood_(u);
    return {std::move(u), log_l};
  }

  Eigen::VectorXd from_prior() {
    Eigen::VectorXd u(least_.size());
    for (double& x : u) x = gauss_(random_);
    return inside(u) ? u : from_prior();
  }

  void learn_shape(const std::vector<Point>& points) {
    const Eigen::Index d = least_.size();
    Eigen::VectorXd mean = Eigen::VectorXd::Zero(d);
    Eigen::MatrixXd covariance = 1e-9 * Eigen::MatrixXd::Identity(d, d);
    for (const Point& p : points) mean += p.u / static_cast<double>(points.size());
    for (const Point& p : points)
      covariance += (p.u - mean) * (p.u - mean).transpose() / static_cast<double>(points.size());
    shape_ = covariance.llt().matrixL();
  }

  /// A new point above the likelihood of the one it replaces.
  Point above(const std::vector<Point>& points, std::ptrdiff_t replaced, int slices) {
    const double limit = points[static_cast<std::size_t>(replaced)].log_l;
    std::size_t from = 0;
    do from = static_cast<std::size_t>(uniform() * static_cast<double>(points.size()));
    while (static_cast<std::ptrdiff_t>(from) == replaced);
    Point at = points[std::min(from, points.size() - 1)];
    for (int i = 0; i < slices; ++i) at = slice(at, limit);
    return at;
  }

  Point slice(const Point& at, double limit) {
    Eigen::VectorXd direction(least_.size());
    for (double& x : direction) x = gauss_(random_);
    direction = 2 * shape_ * (direction / direction.norm());
    const double level =
        -0.5 * at.u.squaredNorm() + std::log(1 - uniform());  // ln of the prior's density, without its constant
    Point moved;
    const auto holds = [&](double t) {
      Eigen::VectorXd u = at.u + t * direction;
      if (!inside(u) || -0.5 * u.squaredNorm() < level) return false;
      moved = point(std::move(u));
      return moved.log_l > limit;
    };
    double low = -uniform(), high = low + 1;
    while (holds(low)) low -= 1;
    while (holds(high)) high += 1;
    for (;;) {
      const double t = low + (high - low) * uniform();
      if (holds(t)) return moved;
      (t < 0 ? low : high) = t;
      if (high - low < 1e-12) return at;
    }
  }

  LogLikelihood log_likelihood_;
  Eigen::VectorXd least_, most_;
  std::mt19937 random_;
  std::normal_distribution<> gauss_;
  Eigen::MatrixXd shape_;
  long calls_ = 0;
};

}  // namespace railseep
