#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "log/log_layout.hpp"

namespace railseep {

/// One cell as read: nothing (blank, "-", "N/A", "No data"), a number with or without its unit, a yes or no, or a text.
struct Cell {
  enum class What { blank, number, yes_no, text } what = What::text;
  double number = 0;      // as written; yes and on are 1, no and off are 0
  std::string_view unit;  // behind the number, or empty
  bool hexadecimal = false;
};

Cell read_cell(std::string_view text, NumberStyle style);

/// Time of day as 09:20:48.123, with or without a date before it.
struct ClockTime {
  double seconds;         // since midnight [s]
  std::string_view date;  // as written, or empty
};

std::optional<ClockTime> read_clock(std::string_view text);

/// Does the cell hold a value (or a blank), in whatever style, rather than a name?
bool is_value(std::string_view text);

/// What the cells of a column say about the style of their numbers.
struct StyleEvidence {
  int point = 0, comma = 0;                // "0.5" and "0,5"
  int point_groups = 0, comma_groups = 0;  // "1.234.000" and "1,234,000": thousands beyond doubt
  int unclear_comma = 0;                   // "1,234"
  int bare_hundreds = 0;                   // "993": three digits and no mark

  void weigh(std::string_view text);

  /// So much evidence that more of it changes nothing.
  bool is_settled() const { return point > 1000 + 10 * comma || comma > 1000 + 10 * point; }
};

struct StyleGuess {
  NumberStyle style;
  bool open = false;  // "1,234" may be 1.234 or 1234, and nothing tells
};

/// @param file what all columns together say, for those that say nothing themselves
StyleGuess guess_style(const StyleEvidence& column, const StyleEvidence& file);

}  // namespace railseep
