#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "log/find_columns.hpp"

namespace railseep {

/// A cell that holds a text where a number was expected.
struct Unreadable {
  std::size_t at;  // entry of NumberColumn::value
  int line;
  std::string text;
};

/// The cells of one column as numbers, as they are written: nothing is converted yet.
struct NumberColumn {
  std::vector<double> value;         // NaN: no number stands there
  std::vector<std::uint32_t> sweep;  // of each value; empty: one a sweep, in order

  // Units in the cells; empty where none holds one. 0: none, k: unit_names[k - 1]
  std::vector<std::uint8_t> unit;
  std::vector<std::string> unit_names;

  // Columns of times only: which entries are times of day [s since midnight], and their dates. 0: none, k: dates[k - 1]
  std::vector<bool> clock;
  std::vector<std::uint32_t> date;
  std::vector<std::string> dates;

  std::vector<Unreadable> unreadable;  // the first ones
  std::size_t unreadable_count = 0;
  std::size_t blanks = 0;
  int hexadecimal_line = 0;  // of the first hexadecimal number; 0: there is none

  std::size_t sweep_at(std::size_t k) const { return sweep.empty() ? k : sweep[k]; }
};

/// How the cells of a column are to be read.
struct ReadAs {
  NumberStyle style = NumberStyle::decimal_point;
  bool times = false;   // times of day are values
  bool yes_no = false;  // "on" and "no" are values
};

/// One pass over the file. @param as one a column
std::vector<NumberColumn> read_numbers(const Table& table, const RawLog& raw, const std::vector<ReadAs>& as);

}  // namespace railseep
