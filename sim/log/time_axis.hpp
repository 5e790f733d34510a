#pragma once

#include <vector>

#include "log/interpret_columns.hpp"

namespace railseep {

/// The times of all sweeps, whatever they were written as.
struct TimeAxis {
  std::vector<double>
      at_sweep;  // [s], NaN where the cell could not be read; never decreasing, or never increasing if reversed
  std::vector<Segment> segments;
  double interval = 0;    // [s] usual step
  bool reversed = false;  // the last row is the first in time
};

/// Reads a column of times: numbers, times of day, dates with times. Clock times and epochs start at `origin`, other
/// times stay as written. Where times restart, the later part is moved to follow the earlier one; a step back by no
/// more than two intervals is held at the time before it; samples within one step of a coarse clock are spread evenly.
/// All that is noted.
/// @param column of InterpretedLog::numbers; its unit is filled in when it was not written
TimeAxis read_time_axis(InterpretedLog& log, std::size_t column, double factor);

/// No times at all, or only a running number: sweeps are one interval [s] apart. @param counter column of the running
/// number, if there is one
TimeAxis count_time_axis(const InterpretedLog& log, const NumberColumn* counter, double interval);

/// Times of day and seconds since an epoch mean nothing by themselves: columns of such times start at 0 together.
void start_at_zero(std::vector<TimeAxis*> axes, const std::vector<bool>& clock);

/// Can at least half of its cells be read as times?
bool holds_times(const NumberColumn& column);

/// Are more than half of its cells times of day?
bool mostly_clock(const NumberColumn& column);

/// Are all cells numbers that grow, or at least stay?
bool never_decreases(const NumberColumn& column);

/// Steps from one time to the next [s]; 0 if there are none.
struct Steps {
  double usual = 0;    // median of those above 0; their mean per sample where a coarse clock repeats itself
  double forward = 0;  // median of those above 0
};

Steps steps_of(const std::vector<double>& times);

}  // namespace railseep
