#pragma once

#include <vector>

#include "match/fault_fit.hpp"

namespace railseep {

/// What is known about one severity: ln of (likelihood times prior) at some points of its coordinate, everything else integrated over.
///
/// Around the best point it is near to a parabola; what the points say beyond that parabola is taken by straight lines between them.
class SeverityPosterior {
 public:
  /// @param best coordinate of the best point; @param deviation of the parabola, above 0; @param least, most bounds of the coordinate
  SeverityPosterior(double best, double deviation, double least, double most);

  /// Coordinates worth computing beside the best one: 1, 2 and 3.2 deviations to either side, within the bounds.
  std::vector<double> points() const;

  /// Halfway from the likeliest point so far to its neighbours.
  std::vector<double> finer_points() const;

  /// @param beyond ln of what the point is, less that of the best point: 0 at the best one
  void add(double at, double beyond);

  /// ln of the integral of (likelihood times prior) over the one at the best point, the prior being standard normal within its bounds.
  double log_integral() const;

  double mode() const;  // coordinate of the most probable severity

  /// Mode, middle 90 % and the whole posterior as a table. @param unknown turns coordinates into SI
  Severity severity(const Unknown& unknown) const;

 private:
  double log_density(double u) const;
  std::vector<double> grid() const;

  double best_, deviation_, least_, most_;
  std::vector<double> at_, correction_;  // rising in at_
};

}  // namespace railseep
