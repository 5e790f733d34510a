#include "log/trace_csv.hpp"

#include <charconv>

namespace railseep {

namespace {

/// A cell as RFC 4180 has it: quoted where a comma, a quote or a line break stands in it.
std::string cell(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c);
  return quoted + "\"";
}

void append(std::string& text, double value) {
  char digits[32];
  const auto end = std::to_chars(digits, digits + sizeof digits, value, std::chars_format::general, 7);
  text.append(digits, end.ptr);
}

}  // namespace

std::string trace_csv(const Trace& trace, const UnitOf& unit_of) {
  std::string text = "time [s]";
  for (const TraceChannel& channel : trace.channels)
    text += "," + cell(channel.name + " [" + std::string(unit_of(channel.quantity)) + "]");
  text += "\n";
  for (std::size_t row = 0; row < trace.time.size(); ++row) {
    append(text, trace.time[row]);
    for (const TraceChannel& channel : trace.channels) {
      text += ',';
      append(text, to_unit(channel.value[row], channel.quantity, unit_of(channel.quantity)));
    }
    text += "\n";
  }
  return text;
}

}  // namespace railseep
