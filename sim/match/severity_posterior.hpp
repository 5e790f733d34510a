#pragma once

#include <vector>

#include "hypothesis/fault_fit.hpp"

namespace railseep {

/// What is known about one severity: ln of (likelihood times prior) at some points of its coordinate, everything else
/// integrated over. What was seen beside the logs is kept apart, for it is believed whole. Between the points both run
/// as cubics that rise and fall where they do; beyond them the logs leave nothing.
///
/// Source of the cubic: Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 (from memory), as Boost.Math has it.
class SeverityPosterior {
 public:
  /// @param least, most bounds of the coordinate
  SeverityPosterior(double least, double most) : least_(least), most_(most) {}

  /// A parabola about its best point.
  SeverityPosterior(double best, double deviation, double least, double most);

  /// @param of_logs ln of (likelihood of the logs times prior), up to what is common to all points; @param beside ln
  /// likelihood of all else, likewise
  void add(double at, double of_logs, double beside = 0);

  /// Halfway from the likeliest point so far to its neighbours.
  std::vector<double> finer_points() const;

  /// ln of the integral of (likelihood times prior), the prior being standard normal within its bounds and its log
  /// density given without ln sqrt(2 pi).
  double log_integral() const;
  double log_integral_of_logs() const;  // the same without what was seen beside them

  double mode() const;  // coordinate of the most probable severity

  /// Mode, 90 % that hold it (the middle ones, where the mode is among them) and the whole posterior as a table. @param
  /// unknown turns coordinates into SI; @param doubted see self_doubt.hpp
  Severity severity(const Unknown& unknown, bool doubted) const;

 private:
  struct Table {
    std::vector<double> at, of_logs, beside;
  };
  Table table() const;  // fine, evenly spaced
  double log_integral(const std::vector<double>& at, const std::vector<double>& log_density) const;
  void mix_in_prior(Table& fine, std::vector<double>& cumulative) const;

  double least_, most_;
  std::vector<double> at_, of_logs_, beside_;  // rising in at_
};

}  // namespace railseep
