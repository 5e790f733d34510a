#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "log/channel_kind.hpp"
#include "log/log_layout.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

/// What is doubtful about a stretch of samples. Flagged samples stay in the channel as they were written.
enum class FlagKind {
  substituted,      // constant to the last digit while the engine's state moves, or equal to the desired pressure
  clipped_at_zero,  // plateau at exactly 0: a negative bias may hide below it
  impossible,       // beyond what the engine or the sensor can do
  dropout,          // nothing between two samples for more than three usual intervals
  spike,            // one wild sample between two that agree
  unreadable,       // a cell that is no number and no blank: no sample was made of it
};

struct Flag {
  FlagKind kind;
  std::size_t first;  // first and last sample it concerns (for a dropout: before and after)
  std::size_t last;
  std::string text;
};

/// Something the reader met that its user should know.
struct Note {
  int line;  // 0: the whole file
  std::string text;
};

/// One measured quantity over time. A missing cell is no sample, never a zero, so every channel has times of its own.
struct Channel {
  ChannelKind kind = ChannelKind::unknown;
  std::string header;  // as in the file
  std::string unit;    // as in the file, or as guessed
  Quantity quantity = Quantity::ratio;
  std::vector<double> time;   // [s], never decreasing
  std::vector<double> value;  // [SI]; pressures are gauge [Pa]
  double resolution = 0;      // smallest step seen, or declared [SI]; 0 where the value never changes
  bool from_volts = false;    // pressure computed from the sensor's volts with the given zero and gain
  std::vector<Flag> flags;
};

/// Times restart when a tool is restarted. The later part then follows the earlier one by one usual interval.
struct Segment {
  double start;  // [s] of the log
  double shift;  // [s] added to the times in the file
  int line;
};

/// Channels over time as measured.
struct Log {
  std::string file;
  std::vector<Channel> channels;
  std::vector<Segment> segments;  // one, unless times restart
  double sample_interval = 0;     // [s] usual time from one sweep to the next
  std::vector<Note> notes;
  LogLayout layout;

  /// The first channel of a kind, or nullptr.
  const Channel* find(ChannelKind kind) const;
};

}  // namespace railseep
