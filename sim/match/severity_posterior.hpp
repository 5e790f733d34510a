#pragma once

#include <vector>

#include "match/fault_fit.hpp"

namespace railseep {

/// What is known about one severity: ln of (likelihood times prior) at some points of its coordinate, everything else integrated over. Between
/// the points it runs as a cubic that rises and falls where they do; beyond them nothing is left.
///
/// Source of the cubic: Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 (from memory), as Boost.Math has it.
class SeverityPosterior {
 public:
  /// @param least, most bounds of the coordinate
  SeverityPosterior(double least, double most) : least_(least), most_(most) {}

  /// A parabola about its best point.
  SeverityPosterior(double best, double deviation, double least, double most);

  /// @param log_density ln of (likelihood times prior), up to what is common to all points
  void add(double at, double log_density);

  /// Halfway from the likeliest point so far to its neighbours.
  std::vector<double> finer_points() const;

  /// ln of the integral of (likelihood times prior), the prior being standard normal within its bounds and its log density given without ln sqrt(2 pi).
  double log_integral() const;

  double mode() const;  // coordinate of the most probable severity

  /// Mode, middle 90 % and the whole posterior as a table. @param unknown turns coordinates into SI; @param doubted see self_doubt.hpp
  Severity severity(const Unknown& unknown, bool doubted) const;

 private:
  struct Table {
    std::vector<double> at, log_density;
  };
  Table table() const;  // fine, evenly spaced

  double least_, most_;
  std::vector<double> at_, log_density_;  // rising in at_
};

}  // namespace railseep
