#pragma once

#include <vector>

#include "log/find_columns.hpp"

namespace railseep {

/// The times of all sweeps, whatever they were written as.
struct TimeAxis {
  std::vector<double> at_sweep;  // [s], never decreasing; NaN where the cell could not be read
  std::vector<Segment> segments;
  double interval = 0;  // [s] usual step
};

/// Reads a column of times: numbers, times of day, dates with times. Clock times and epochs start at 0, other times
/// stay as written. Where times restart, the later part is moved to follow the earlier one; a step back by no more
/// than two intervals is held at the time before it; both are noted.
/// @param layout its unit is filled in when it was not written
TimeAxis read_time_axis(const RawColumn& column, ColumnLayout& layout, double factor, bool long_form,
                        std::vector<Note>& notes);

/// No times at all, or only a running number: sweeps are one interval [s] apart.
TimeAxis count_time_axis(const RawColumn& column, const ColumnLayout& layout, double interval);

/// Can at least half of its cells be read as times?
bool holds_times(const RawColumn& column, NumberStyle style);

/// Are all cells numbers that grow, or at least stay?
bool never_decreases(const RawColumn& column, NumberStyle style);

/// Steps from one time to the next [s]; 0 if there are none.
struct Steps {
  double usual = 0;    // median of those above 0; their mean per sample where a coarse clock repeats itself
  double forward = 0;  // median of those above 0
};

Steps steps_of(const std::vector<double>& times);

}  // namespace railseep
