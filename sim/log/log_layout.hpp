#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "channel/channel_kind.hpp"

namespace railseep {

enum class TextEncoding { utf8, utf16_le, utf16_be, latin1 };

/// How numbers are written: 1234.5 with commas between thousands, or 1234,5 with points between thousands.
enum class NumberStyle { decimal_point, decimal_comma };

/// The words for both in job files and options: "utf-8", "point".
std::string_view word(TextEncoding encoding);
std::string_view word(NumberStyle style);

/// How the unit of a column is known.
enum class UnitSource {
  none,     // it needs none
  told,     // by the job or an option
  written,  // in the header, a row of units or the cells
  guessed,  // by the size of the numbers and what stands beside them
};

/// What one column was taken for, and why.
struct ColumnLayout {
  int number = 0;  // 1 is the leftmost; in long form the order of appearance
  std::string header;
  ChannelKind kind = ChannelKind::unknown;
  std::string kind_why;  // "header" or "told"
  std::string unit;
  std::string unit_why;  // "largest 512: no other unit fits"
  UnitSource unit_source = UnitSource::none;
  bool certain = true;  // false: the unit is a guess
  NumberStyle numbers = NumberStyle::decimal_point;
};

/// How a file was taken apart, to be shown before its figures are believed. Every item can be overruled in LogOptions.
struct LogLayout {
  TextEncoding encoding = TextEncoding::utf8;
  char separator = ',';    // ' ': runs of blanks
  bool long_form = false;  // one row a value: time, name, value, unit
  int header_line = 0;     // 0: none
  int unit_line = 0;       // 0: none
  std::vector<ColumnLayout> columns;
};

}  // namespace railseep
