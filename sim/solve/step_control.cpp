#include "solve/step_control.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>
#include <utility>

namespace railseep {
namespace {

constexpr double safety = 0.9;
constexpr double most_growth = 6, most_shrinkage = 5;
constexpr double least_error = 0.01;           // a lucky step must not make the prediction wild
constexpr double out_of_range_shrinkage = 10;  // after a try that left the range where the laws hold

/// x^(1/order); the roots of these orders take less time than a power.
double root(double x, int order) {
  return order == 4 ? std::sqrt(std::sqrt(x)) : order == 3 ? std::cbrt(x) : std::pow(x, 1.0 / order);
}

double limited(double fac) { return std::clamp(fac, 1 / most_growth, most_shrinkage); }

Error plain_text(const StepTrouble& trouble) {
  std::ostringstream place, found;
  place << "t = " << trouble.time << " s";
  if (trouble.tries > 0)
    found << "state " << trouble.worst << " asks for steps of " << trouble.step << " s, " << trouble.tries << " so far";
  else if (trouble.finite)
    found << "state " << trouble.worst << " needs steps below " << trouble.step << " s";
  else
    found << "state " << trouble.worst << " has a rate that is not a number";
  return {place.str(), found.str(), "look for a volume of 0 or a law that jumps"};
}

}  // namespace

Weights tolerances(double absolute, double relative) {
  return [=](const Eigen::VectorXd& x_old, const Eigen::VectorXd& x_new, Eigen::VectorXd& scale) {
    scale = absolute + relative * x_old.array().abs().max(x_new.array().abs());
  };
}

Weights tolerances(Eigen::VectorXd absolute, double relative) {
  return [absolute = std::move(absolute), relative](const Eigen::VectorXd& x_old, const Eigen::VectorXd& x_new,
                                                    Eigen::VectorXd& scale) {
    scale = absolute.array() + relative * x_old.array().abs().max(x_new.array().abs());
  };
}

StepControl::StepControl(Weights weights, int order) : weights_(std::move(weights)), order_(order), text_(plain_text) {}

StepControl::Verdict StepControl::judge(const Eigen::VectorXd& x_old, const Eigen::VectorXd& x_new,
                                        const Eigen::VectorXd& error, double step) {
  scale_.resize(x_new.size());
  weights_(x_old, x_new, scale_);
  scaled_error_ = error.cwiseQuotient(scale_);
  const double err = std::sqrt(scaled_error_.squaredNorm() / static_cast<double>(error.size()));
  if (!std::isfinite(err)) {
    rejected_ = true;
    return {false, step / out_of_range_shrinkage};
  }

  double fac = limited(root(err, order_) / safety);
  if (err > 1) {
    rejected_ = true;
    return {false, step / fac};
  }
  if (last_step_ != 0) fac = std::max(fac, limited(last_step_ / step * root(err * err / last_error_, order_) / safety));
  if (std::exchange(rejected_, false)) fac = std::max(fac, 1.0);
  last_step_ = step;
  last_error_ = std::max(least_error, err);
  return {true, step / fac};
}

void StepControl::require_useful(double time, double step, const Eigen::VectorXd& rates) const {
  const double rounding = 16 * std::numeric_limits<double>::epsilon() * std::abs(time);
  if (std::abs(step) >= std::max(shortest_step_, rounding)) return;
  StepTrouble trouble{time, step, 0, true};
  trouble.worst = worst(rates, trouble.finite);
  throw text_(trouble);
}

void StepControl::require_progress(double time, double step, long tries, const Eigen::VectorXd& rates) const {
  if (static_cast<double>(tries) <= budget_.at_once + budget_.per_second * time) return;
  StepTrouble trouble{time, step, 0, true, tries};
  trouble.worst = worst(rates, trouble.finite);
  throw text_(trouble);
}

Eigen::Index StepControl::worst(const Eigen::VectorXd& rates, bool& finite) const {
  for (const Eigen::VectorXd* values : {&rates, &scaled_error_})
    for (Eigen::Index i = 0; i < values->size(); ++i)
      if (!std::isfinite((*values)[i])) {
        finite = false;
        return i;
      }
  Eigen::Index i = 0;
  if (scaled_error_.size() == rates.size()) scaled_error_.cwiseAbs().maxCoeff(&i);
  return i;
}

}  // namespace railseep
