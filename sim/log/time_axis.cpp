#include "log/time_axis.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "log/cell.hpp"
#include "log/guess_unit.hpp"
#include "log/log_unit.hpp"

namespace railseep {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr double day = 86400;  // [s]

// Times as written [s], one a sweep, before restarts are looked at.
struct WrittenTimes {
  std::vector<double> seconds;
  std::vector<std::string> dates;
  bool clock = false;
};

WrittenTimes read_cells(const RawColumn& column, NumberStyle style, std::vector<Note>& notes) {
  WrittenTimes written;
  std::size_t clocks = 0, unreadable = 0;
  int first_line = 0;
  for (const RawCell& cell : column.cells) {
    if (const auto clock = read_clock(cell.text)) {
      written.seconds.push_back(clock->seconds);
      written.dates.emplace_back(clock->date);
      ++clocks;
      continue;
    }
    const Cell read = read_cell(cell.text, style);
    written.seconds.push_back(read.what == Cell::What::number ? read.number : none);
    written.dates.emplace_back();
    if (read.what == Cell::What::number) continue;
    if (unreadable++ == 0) first_line = cell.line;
  }
  if (unreadable > 0) {
    notes.push_back({first_line, std::to_string(unreadable) + " rows have no time and are left out"});
  }

  // Clock times and plain numbers do not mix: the rarer ones cannot be placed.
  written.clock = 2 * clocks > column.cells.size();
  for (std::size_t i = 0; clocks > 0 && i < column.cells.size(); ++i) {
    if (read_clock(column.cells[i].text).has_value() != written.clock) written.seconds[i] = none;
  }
  return written;
}

void scale_to_seconds(WrittenTimes& written, ColumnLayout& layout, double factor, std::vector<Note>& notes) {
  if (written.clock) {
    layout.unit = "s";
    layout.unit_why = "times of day";
    return;
  }
  for (double& t : written.seconds) t *= factor;
  if (layout.unit.empty()) {
    const UnitGuess guess = guess_time_unit(steps_of(written.seconds).usual);
    layout.unit = guess.unit;
    layout.unit_why = guess.why;
    layout.certain = guess.certain;
    if (!guess.certain) notes.push_back({0, "time: " + guess.why + "; say so if it is another unit"});
  }
  const double scale = find_log_unit(layout.unit)->factor;
  constexpr double longest = 1e12;  // [s]; beyond it steps are lost to rounding, it is no time
  for (double& t : written.seconds) t = std::fabs(t * scale) < longest ? t * scale : none;
}

// Times of day and seconds since an epoch mean nothing by themselves: the log starts at 0.
void start_at_zero(WrittenTimes& written) {
  const auto first = std::find_if(written.seconds.begin(), written.seconds.end(), [](double t) { return t == t; });
  if (first == written.seconds.end() || !(written.clock || *first > 1e8)) return;
  const double origin = *first;
  for (double& t : written.seconds) t -= origin;
}

std::string seconds_text(double t) { return format_quantity(t, Quantity::time, "s"); }

// Walks through the times and makes them never decrease.
class Walk {
 public:
  Walk(const WrittenTimes& written, const RawColumn& column, double interval, std::vector<Note>& notes)
      : written_(written), column_(column), interval_(interval), notes_(notes) {}

  TimeAxis run(bool long_form) {
    axis_.interval = interval_;
    for (std::size_t i = 0; i < written_.seconds.size(); ++i) step(i);
    if (repeats_ > 0 && !long_form) {
      notes_.push_back({0, "times repeat in " + std::to_string(repeats_) + " rows; they are kept as they stand"});
    }
    if (held_ > 0) {
      notes_.push_back({held_line_, "times step back by up to two intervals in " + std::to_string(held_) +
                                        " rows; these are held at the time before"});
    }
    return axis_;
  }

 private:
  void step(std::size_t i) {
    const double raw = written_.seconds[i];
    if (!std::isfinite(raw)) {
      axis_.at_sweep.push_back(none);
      return;
    }
    const int line = column_.cells[i].line;
    double t = raw + shift_;
    if (axis_.segments.empty()) {
      begin_segment(t, raw, line);
    } else if (t < before_) {
      t = step_back(i, t, raw, line);
    } else if (t == before_) {
      ++repeats_;
    } else if (interval_ > 0 && t - before_ > 10 * interval_) {
      notes_.push_back({line, "time jumps ahead by " + seconds_text(t - before_)});
    }
    axis_.at_sweep.push_back(t);
    before_ = t;
    date_ = written_.dates[i];
  }

  double step_back(std::size_t i, double t, double raw, int line) {
    const double back = before_ - t;
    const bool next_date = !date_.empty() && !written_.dates[i].empty() && date_ != written_.dates[i];
    if (written_.clock && back <= day && (back > day / 2 || next_date)) {
      shift_ += day;
      notes_.push_back({line, "the clock passes midnight"});
      return t + day;
    }
    if (back <= 2 * interval_ && raw > segment_first_) {
      if (held_++ == 0) held_line_ = line;
      return before_;
    }
    shift_ += back + interval_;
    notes_.push_back({line, "time restarts at " + seconds_text(raw) + "; from here on " + seconds_text(shift_) +
                                " is added, so that it follows by one interval"});
    begin_segment(before_ + interval_, raw, line);
    return before_ + interval_;
  }

  void begin_segment(double start, double raw, int line) {
    axis_.segments.push_back({start, shift_, line});
    segment_first_ = raw;
  }

  const WrittenTimes& written_;
  const RawColumn& column_;
  double interval_;
  std::vector<Note>& notes_;
  TimeAxis axis_;
  std::string date_;
  double before_ = 0, shift_ = 0, segment_first_ = 0;
  std::size_t repeats_ = 0, held_ = 0;
  int held_line_ = 0;
};

}  // namespace

Steps steps_of(const std::vector<double>& times) {
  std::vector<double> steps;
  double before = none, sum = 0;
  std::size_t repeats = 0;
  for (const double t : times) {
    if (!std::isfinite(t)) continue;
    if (t > before) steps.push_back(t - before), sum += steps.back();
    if (t == before) ++repeats;
    before = t;
  }
  if (steps.empty()) return {};
  const auto middle = steps.begin() + static_cast<long>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  const bool coarse = repeats > steps.size();
  return {coarse ? sum / static_cast<double>(steps.size() + repeats) : *middle, *middle};
}

bool holds_times(const RawColumn& column, NumberStyle style) {
  const auto good = std::count_if(column.cells.begin(), column.cells.end(), [style](const RawCell& cell) {
    return read_clock(cell.text).has_value() || read_cell(cell.text, style).what == Cell::What::number;
  });
  return 2 * static_cast<std::size_t>(good) >= column.cells.size() && good > 0;
}

bool never_decreases(const RawColumn& column, NumberStyle style) {
  double before = -1e300;
  for (const RawCell& cell : column.cells) {
    const Cell read = read_cell(cell.text, style);
    if (read.what != Cell::What::number || read.number < before) return false;
    before = read.number;
  }
  return column.cells.size() > 1 && read_cell(column.cells.front().text, style).number < before;
}

TimeAxis read_time_axis(const RawColumn& column, ColumnLayout& layout, double factor, bool long_form,
                        std::vector<Note>& notes) {
  WrittenTimes written = read_cells(column, layout.numbers, notes);
  scale_to_seconds(written, layout, factor, notes);
  start_at_zero(written);
  return Walk(written, column, steps_of(written.seconds).usual, notes).run(long_form);
}

TimeAxis count_time_axis(const RawColumn& column, const ColumnLayout& layout, double interval) {
  TimeAxis axis;
  axis.interval = interval;
  axis.segments.push_back({0, 0, column.cells.empty() ? 0 : column.cells.front().line});
  for (std::size_t i = 0; i < column.cells.size(); ++i) axis.at_sweep.push_back(static_cast<double>(i) * interval);
  if (layout.kind != ChannelKind::sample_index || !never_decreases(column, layout.numbers)) return axis;

  // A running number that skips tells of sweeps that were lost.
  const double first = read_cell(column.cells.front().text, layout.numbers).number;
  for (std::size_t i = 0; i < column.cells.size(); ++i) {
    axis.at_sweep[i] = (read_cell(column.cells[i].text, layout.numbers).number - first) * interval;
  }
  return axis;
}

}  // namespace railseep
