#pragma once

#include <optional>
#include <string>
#include <vector>

#include "log/log_layout.hpp"

namespace railseep {

/// What the user says of one column, instead of what the reader would guess.
struct ColumnOptions {
  std::string column = {};  // its header, or its number: "3"
  std::optional<ChannelKind> kind = {};
  std::optional<std::string> unit = {};
  std::optional<NumberStyle> numbers = {};
  double factor = 1;                       // the number in the file times this is in the unit
  double time_shift = 0;                   // [s] added to its times: columns are asked one after another
  std::optional<double> resolution = {};   // [SI]
  std::optional<double> sensor_zero = {};  // [V] at no pressure; with the gain, volts give a pressure channel as well
  std::optional<double> sensor_gain = {};  // [Pa/V]
};

/// Everything the reader guesses can be told. Nothing need be.
struct LogOptions {
  std::vector<ColumnOptions> columns;
  std::optional<double> interval;  // [s] between samples, where the file has no times
  std::optional<TextEncoding> encoding;
  std::optional<char> separator;
  std::optional<NumberStyle> numbers;
  std::optional<bool> long_form;
  std::optional<int> header_line;  // 0: there is none
};

}  // namespace railseep
