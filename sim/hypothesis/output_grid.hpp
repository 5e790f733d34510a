#pragma once

#include <cstddef>
#include <vector>

#include "evidence/evidence.hpp"

namespace railseep {

/// The times at which a crank is kept so that it can be read at the samples of a log, with its clock anywhere within
/// its bounds: every 0.02 s where samples are as logged. Where they are means over longer stretches, every quarter of
/// the way to the next sample.
class OutputGrid {
 public:
  /// @param reach how far the clock may be off [s]
  OutputGrid(const CrankEvidence& log, double reach);

  const std::vector<double>& times() const { return times_; }  // [s]
  double duration() const { return duration_; }                // of the crank [s]

  /// Between two times by a straight line; after the last it goes on straight. @param kept one value a time
  double read(const std::vector<double>& kept, double t) const;

 private:
  double duration_;
  std::vector<std::size_t> first_;     // finest step at which each time is
  std::vector<std::size_t> interval_;  // of the times, for each finest step
  std::vector<double> times_;
};

}  // namespace railseep
