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

/// What is known of the engine a log is of. It helps to tell units apart, and turns the sensor's volts into a pressure.
struct EngineHints {
  std::optional<double> sensor_zero = {};      // [V] at no pressure
  std::optional<double> sensor_gain = {};      // [Pa/V]
  std::optional<double> enable_pressure = {};  // below it nothing is injected, gauge [Pa]
};

/// Everything the reader guesses can be told. Nothing need be.
struct LogOptions {
  std::vector<ColumnOptions> columns = {};
  std::optional<double> interval = {};  // [s] between samples, where the file has no times
  std::optional<TextEncoding> encoding = {};
  std::optional<char> separator = {};  // ' ': runs of blanks
  std::optional<NumberStyle> numbers = {};
  std::optional<bool> long_form = {};
  std::optional<int> header_line = {};        // 0: there is none
  std::optional<std::string> time_unit = {};  // of every column of times that holds plain numbers
  EngineHints engine = {};                    // not told by the user: it comes with the circuit
};

/// "Told" as words, for job files and the command line alike. @throws Error naming the words that would do
TextEncoding parse_encoding(const std::string& text);
NumberStyle parse_number_style(const std::string& text);
char parse_separator(const std::string& text);
std::string separator_word(char separator);

/// A unit of time. @throws Error naming the units that would do
std::string parse_time_unit(const std::string& text);

}  // namespace railseep
