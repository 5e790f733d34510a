#include "log/time_axis.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "log/guess_unit.hpp"
#include "log/log_unit.hpp"

namespace railseep {
namespace {

constexpr double no_time = std::numeric_limits<double>::quiet_NaN();
constexpr double day = 86400;                 // [s]
constexpr double odd_length[] = {0.3, 3600};  // a log shorter or longer than that is questioned [s] (assumed)
constexpr std::size_t enough_times = 5;

// Times as written [s], one a sweep, before restarts are looked at.
struct WrittenTimes {
  std::vector<double> seconds;
  std::vector<std::uint32_t> dates;
  bool clock = false;

  std::uint32_t date_at(std::size_t i) const { return dates.empty() ? 0 : dates[i]; }
};

// In long form each value of the column of times stands in a sweep of its own, so both forms have one time a sweep.
WrittenTimes take_times(NumberColumn& column, const LineNumbers& lines, std::vector<Note>& notes) {
  WrittenTimes written;
  written.clock = mostly_clock(column);
  written.seconds = std::move(column.value);
  written.dates = std::move(column.date);
  std::size_t unreadable = 0;
  int first_line = 0;
  for (std::size_t i = 0; i < written.seconds.size(); ++i) {
    // Clock times and plain numbers do not mix: the rarer ones cannot be placed.
    const bool is_clock = !column.clock.empty() && column.clock[i];
    if (is_clock != written.clock) written.seconds[i] = no_time;
    if (std::isfinite(written.seconds[i])) continue;
    if (unreadable++ == 0) first_line = lines.at(i);
  }
  if (unreadable > 0) notes.push_back({first_line, std::to_string(unreadable) + " rows have no time and are left out"});
  return written;
}

double first_finite(const std::vector<double>& times) {
  const auto first = std::find_if(times.begin(), times.end(), [](double t) { return std::isfinite(t); });
  return first == times.end() ? no_time : *first;
}

double span_of(const std::vector<double>& times) {
  double least = std::numeric_limits<double>::infinity(), most = -least;
  for (const double t : times) {
    if (std::isfinite(t)) least = std::min(least, t), most = std::max(most, t);
  }
  return most >= least ? most - least : 0;
}

void scale_to_seconds(WrittenTimes& written, InterpretedLog& log, ColumnLayout& layout, double factor) {
  if (written.clock) return;
  for (double& t : written.seconds) t *= factor;
  if (layout.unit.empty()) {
    const UnitGuess guess = guess_time_unit(steps_of(written.seconds).usual, span_of(written.seconds),
                                            first_finite(written.seconds), written.seconds.size());
    layout.unit = guess.unit, layout.unit_why = guess.why, layout.unit_source = UnitSource::guessed,
    layout.certain = guess.certain;
    if (guess.open.size() > 1) {
      log.asks.push_back({layout.header, called(layout) + ": " + guess.why, "\"time_unit\": \"" + guess.unit + "\"",
                          "--time-unit " + guess.unit});
    } else if (!guess.certain) {
      log.raw.notes.push_back({0, called(layout) + " is read in " + guess.unit + ": " + guess.why});
    }
  }
  const double scale = find_log_unit(layout.unit)->factor;
  constexpr double longest = 1e12;  // [s]; beyond it steps are lost to rounding, it is no time
  for (double& t : written.seconds) t = std::fabs(t * scale) < longest ? t * scale : no_time;
}

// Rows from the newest to the oldest are turned round before anything else is looked at.
bool turn_round(std::vector<double>& times) {
  std::size_t forward = 0, back = 0;
  double before = no_time;
  for (const double t : times) {
    if (!std::isfinite(t)) continue;
    forward += t > before, back += t < before;
    before = t;
  }
  if (back < 3 || forward * 20 > back) return false;
  std::reverse(times.begin(), times.end());
  return true;
}

/// A clock that shows whole seconds (or tenths) while more than one sweep passes in each. Of such times the sweeps are
/// spread evenly over the step; those of a first step that is not full stand at its end.
class CoarseClock {
 public:
  explicit CoarseClock(const std::vector<double>& times) {
    for (std::size_t i = 0; i < times.size(); ++i) {
      if (!std::isfinite(times[i])) continue;
      if (runs_.empty() || times[i] != times[runs_.back().first]) runs_.push_back({i, 0});
      ++runs_.back().count;
      ++samples_;
    }
  }

  bool is_coarse() const { return runs_.size() >= 2 && samples_ >= 2 * runs_.size(); }

  std::string spread(std::vector<double>& times) const {
    const double tick = steps_of(times).forward;
    const std::size_t usual = usual_count();
    std::vector<double> spread = times;
    for (std::size_t r = 0; r < runs_.size(); ++r) {
      const Run& run = runs_[r];
      const double start = times[run.first];
      const double next = r + 1 < runs_.size() ? times[runs_[r + 1].first] : no_time;
      const double lasts = next > start && next - start < 1.5 * tick ? next - start : tick;
      const bool partial = run.count < usual && (r == 0 || r + 1 == runs_.size());
      const double step = partial ? lasts / static_cast<double>(usual) : lasts / static_cast<double>(run.count);
      const double from = partial && r == 0 ? start + lasts - step * static_cast<double>(run.count) : start;
      std::size_t k = 0;
      for (std::size_t i = run.first; k < run.count; ++i) {
        if (std::isfinite(times[i])) spread[i] = from + step * static_cast<double>(k++);
      }
    }
    times = std::move(spread);
    return "the clock moves in steps of " + format_quantity(tick, Quantity::time, "s") + " with about " +
           std::to_string(usual) + " rows in each; the rows are spread evenly over the step";
  }

 private:
  struct Run {
    std::size_t first, count;
  };
  std::size_t usual_count() const {
    std::vector<std::size_t> counts;
    for (const Run& run : runs_) counts.push_back(run.count);
    std::nth_element(counts.begin(), counts.begin() + static_cast<long>(counts.size() / 2), counts.end());
    return counts[counts.size() / 2];
  }
  std::vector<Run> runs_;
  std::size_t samples_ = 0;
};

std::string seconds_text(double t) { return format_quantity(t, Quantity::time, "s"); }

// Walks through the times and makes them never decrease.
class Walk {
 public:
  Walk(const WrittenTimes& written, const InterpretedLog& log, double interval, std::vector<Note>& notes)
      : written_(written), log_(log), interval_(interval), notes_(notes) {}

  TimeAxis run(bool long_form) {
    axis_.interval = interval_;
    for (std::size_t i = 0; i < written_.seconds.size(); ++i) step(i);
    if (repeats_ > 0 && !long_form) {
      notes_.push_back(
          {repeats_line_,
           "times repeat in " + std::to_string(repeats_) +
               " rows (the first here); they are kept as they stand, and of samples at one time the first counts"});
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
      axis_.at_sweep.push_back(no_time);
      return;
    }
    const int line = log_.raw.lines.at(i);
    double t = raw + shift_;
    if (axis_.segments.empty()) {
      begin_segment(t, raw, line);
    } else if (t < before_) {
      t = step_back(i, t, raw, line);
    } else if (t == before_) {
      if (repeats_++ == 0) repeats_line_ = line;
    } else if (interval_ > 0 && t - before_ > 10 * interval_) {
      if (jumps_++ < notes_a_kind) notes_.push_back({line, "time jumps ahead by " + seconds_text(t - before_)});
    }
    axis_.at_sweep.push_back(t);
    before_ = t;
    date_ = written_.date_at(i);
  }

  double step_back(std::size_t i, double t, double raw, int line) {
    const double back = before_ - t;
    const bool next_date = date_ != 0 && written_.date_at(i) != 0 && date_ != written_.date_at(i);
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
  const InterpretedLog& log_;
  double interval_;
  std::vector<Note>& notes_;
  TimeAxis axis_;
  std::uint32_t date_ = 0;
  double before_ = 0, shift_ = 0, segment_first_ = 0;
  std::size_t repeats_ = 0, held_ = 0, jumps_ = 0;
  int held_line_ = 0, repeats_line_ = 0;
};

// A log of a fraction of a second, or of hours, is no crank: its times may be in another unit.
void question_length(const TimeAxis& axis, InterpretedLog& log, const ColumnLayout& layout) {
  const double lasts = span_of(axis.at_sweep);
  const bool odd = lasts < odd_length[0] || lasts > odd_length[1];
  if (!odd || lasts == 0 || axis.at_sweep.size() < enough_times || layout.unit_source == UnitSource::told) return;
  if (std::ranges::any_of(log.asks, [&](const Ask& ask) {
        return ask.column == layout.header && ask.option.starts_with("--time-unit");
      }))
    return;
  log.asks.push_back({layout.header,
                      called(layout) + ": in " + layout.unit + " the log lasts " +
                          format_quantity(lasts, Quantity::time, lasts > 3600 ? "h" : "s", 3) +
                          ", which is odd for a crank",
                      "\"time_unit\": \"" + layout.unit + "\" if that is right, else the unit",
                      "--time-unit " + layout.unit + " if that is right, else the unit"});
}

}  // namespace

Steps steps_of(const std::vector<double>& times) {
  std::vector<double> steps;
  double before = no_time, sum = 0;
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

bool holds_times(const NumberColumn& column) {
  const auto good = std::ranges::count_if(column.value, [](double t) { return std::isfinite(t); });
  return good > 0 && 2 * static_cast<std::size_t>(good) >= column.value.size();
}

bool mostly_clock(const NumberColumn& column) {
  return 2 * static_cast<std::size_t>(std::ranges::count(column.clock, true)) > column.value.size();
}

bool never_decreases(const NumberColumn& column) {
  double before = -1e300;
  for (const double number : column.value) {
    if (!(number >= before)) return false;
    before = number;
  }
  return column.value.size() > 1 && column.value.front() < before;
}

TimeAxis read_time_axis(InterpretedLog& log, std::size_t column, double factor) {
  WrittenTimes written = take_times(log.numbers[column], log.raw.lines, log.raw.notes);
  scale_to_seconds(written, log, log.layout[column], factor);
  const bool reversed = !written.clock && turn_round(written.seconds);
  if (reversed)
    log.raw.notes.push_back({0, "the rows stand from the last to the first; they are read the other way round"});
  const CoarseClock clock(written.seconds);
  if (!log.raw.long_form && clock.is_coarse()) log.raw.notes.push_back({0, clock.spread(written.seconds)});
  TimeAxis axis = Walk(written, log, steps_of(written.seconds).usual, log.raw.notes).run(log.raw.long_form);
  if (reversed) std::reverse(axis.at_sweep.begin(), axis.at_sweep.end());
  axis.reversed = reversed;
  question_length(axis, log, log.layout[column]);
  return axis;
}

TimeAxis count_time_axis(const InterpretedLog& log, const NumberColumn* counter, double interval) {
  TimeAxis axis;
  axis.interval = interval;
  axis.segments.push_back({0, 0, log.raw.lines.at(0)});
  const bool counts = counter != nullptr && never_decreases(*counter);
  for (std::size_t i = 0; i < log.raw.sweeps; ++i) {
    // A running number that skips tells of sweeps that were lost.
    axis.at_sweep.push_back(interval * (counts ? counter->value[i] - counter->value.front() : static_cast<double>(i)));
  }
  return axis;
}

void start_at_zero(std::vector<TimeAxis*> axes, const std::vector<bool>& clock) {
  double origin = std::numeric_limits<double>::infinity();
  const auto has_epoch = [](const TimeAxis& axis) { return first_finite(axis.at_sweep) > 1e8; };
  for (std::size_t k = 0; k < axes.size(); ++k) {
    if (!clock[k] && !has_epoch(*axes[k])) return;
    for (const double t : axes[k]->at_sweep) origin = std::fmin(origin, t);
  }
  if (!std::isfinite(origin)) return;
  for (TimeAxis* axis : axes) {
    for (double& t : axis->at_sweep) t -= origin;
    for (Segment& segment : axis->segments) segment.start -= origin;
  }
}

}  // namespace railseep
