#include "fit/cliffs.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/normal.hpp"

namespace railseep {

namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double width = 0.25;  // prior standard deviations of the air
constexpr double cliff = 2;     // times as much do the residuals move to one side as to the other

}  // namespace

double log_evidence_beside_cliffs(const LeastSquaresProblem& problem, const LeastSquaresFit& found,
                                  const std::vector<Index>& air) {
  LeastSquaresProblem beside = problem;
  LeastSquaresFit fit = found;
  for (const Index i : air) {
    const auto moved_by = [&](double more) {
      VectorXd u = fit.u;
      u[i] = std::clamp(u[i] + more, beside.least[i], beside.most[i]);
      return (problem.residuals(u) - fit.residuals).norm();
    };
    const double more = moved_by(width), less = moved_by(-width);
    if (std::max(more, less) < cliff * std::min(more, less)) continue;
    LeastSquaresProblem here = beside;
    VectorXd u = fit.u;
    u[i] += more > less ? -width : width;
    (more > less ? here.most : here.least)[i] = u[i];
    const double side = more > less ? 1 : -1, edge = fit.u[i];
    LeastSquaresFit there = least_squares(here, u);
    const LinearFit linear =
        linear_fit(there.u, there.residuals, there.jacobian, problem.tolerances, problem.least, problem.most);
    const double to_edge = side * (edge - there.u[i] - linear.du[i]) / std::sqrt(there.covariance(i, i));
    there.log_evidence = -linear.cost - 0.5 * linear.log_determinant + std::log(normal_below(to_edge));
    if (there.log_evidence > fit.log_evidence) fit = std::move(there), beside = std::move(here);
  }
  return fit.log_evidence;
}

}  // namespace railseep
