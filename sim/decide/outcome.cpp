#include "decide/outcome.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/normal.hpp"

namespace railseep {

std::string Ranges::words(std::size_t first, std::size_t last) const {
  const auto number = [&](std::size_t edge) { return format_quantity(edges[edge], quantity, unit, 3); };
  if (first == 0 && last + 1 == count()) return before + "anything" + after;
  if (first == 0) return before + "under " + number(last) + after;
  if (last + 1 == count()) return before + "over " + number(first - 1) + after;
  const std::string low = number(first - 1);
  return before + low.substr(0, low.find(' ')) + " to " + number(last) + after;
}

Eigen::VectorXd range_probabilities(const Ranges& ranges, double mean, double deviation) {
  Eigen::VectorXd p(static_cast<Eigen::Index>(ranges.count()));
  double so_far = 0;
  for (std::size_t i = 0; i < ranges.count(); ++i) {
    const double up_to = i < ranges.edges.size() ? normal_below((ranges.edges[i] - mean) / deviation) : 1;
    p[static_cast<Eigen::Index>(i)] = up_to - so_far;
    so_far = up_to;
  }
  return p;
}

Eigen::VectorXd standing_out(const std::vector<double>& excess, double error, double threshold) {
  Eigen::VectorXd p = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(excess.size()) + 1);
  const auto last = static_cast<Eigen::Index>(excess.size());
  p[last] = 1;
  double top = threshold;
  for (const double e : excess) p[last] *= normal_below((threshold - e) / error), top = std::max(top, e);
  const double step = 0.1 * error;
  for (double x = threshold; x < top + 8 * error; x += step)
    for (std::size_t i = 0; i < excess.size(); ++i) {
      double here = (x == threshold ? 0.5 : 1.0) * step / error * normal_density((x - excess[i]) / error);
      for (std::size_t j = 0; j < excess.size(); ++j)
        if (j != i) here *= normal_below((x - excess[j]) / error);
      p[static_cast<Eigen::Index>(i)] += here;
    }
  return p / p.sum();
}

Eigen::VectorXd with_slips(const Eigen::VectorXd& probabilities, double slip) {
  return (1 - slip) * probabilities +
         Eigen::VectorXd::Constant(probabilities.size(), slip / static_cast<double>(probabilities.size()));
}

}  // namespace railseep
