#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "channel/channel_kind.hpp"
#include "log/line_numbers.hpp"
#include "log/log_layout.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

/// What is doubtful about a stretch of samples. Flagged samples stay in the channel as they were written.
enum class FlagKind {
  substituted,      // constant to the last digit while the engine's state moves, or a value that stands for "not known"
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
  int line;          // of the first sample; 0 where there is none
  std::string text;  // in the unit of the file
};

/// Something the reader met that its user should know.
struct Note {
  int line;  // 0: the whole file
  std::string text;
};

inline constexpr std::size_t notes_a_kind = 5;  // told one by one; those beyond are only counted

/// "line 14: ..."
std::string sentence(const Note& note);

/// Something the file does not say and the numbers do not tell, though the answer depends on it.
struct Ask {
  std::string column;  // its header or number; empty: the whole file
  std::string text;    // what is open, and why
  std::string job;     // what to write for the log in a job file
  std::string option;  // what to write on the command line
};

/// One measured quantity over time. A missing cell is no sample, never a zero, so every channel has times of its own.
struct Channel {
  ChannelKind kind = ChannelKind::unknown;
  std::string header = {};  // as in the file
  std::string unit = {};    // as in the file, or as guessed
  Quantity quantity = Quantity::ratio;
  std::vector<double> time = {};   // [s], never decreasing
  std::vector<double> value = {};  // [SI]; pressures are gauge [Pa]
  LineNumbers lines = {};          // of each sample in the file
  double resolution = 0;    // smallest step between usable samples, or declared [SI]; 0 where the value never changes
  bool from_volts = false;  // pressure computed from the sensor's volts with the given zero and gain
  std::vector<Flag> flags = {};

  double mean() const;  // of its values; it has at least one
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
  std::vector<Ask> asks;  // while there are any, what the log says is not known
  LogLayout layout;

  /// The first channel of a kind, or nullptr.
  const Channel* find(ChannelKind kind) const;
};

/// @throws Error with the first thing that must be told before the log can be believed
void require_nothing_open(const Log& log);

}  // namespace railseep
