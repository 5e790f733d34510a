#include "log/trace_csv.hpp"

#include <charconv>

namespace railseep {

namespace {

std::string_view csv_unit(Quantity quantity, bool metric) {
  switch (quantity) {
    case Quantity::pressure:
      return metric ? "MPa" : "psi";
    case Quantity::volume_flow:
      return "cm3/s";
    case Quantity::speed:
      return "rpm";
    case Quantity::ratio:
      return "%";
    case Quantity::temperature:
      return metric ? "degC" : "degF";
    default:
      return info(quantity).si_unit;
  }
}

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

std::string trace_csv(const Trace& trace, bool metric) {
  std::string text = "time [s]";
  for (const TraceChannel& channel : trace.channels)
    text += "," + cell(channel.name + " [" + std::string(csv_unit(channel.quantity, metric)) + "]");
  text += "\n";
  for (std::size_t row = 0; row < trace.time.size(); ++row) {
    append(text, trace.time[row]);
    for (const TraceChannel& channel : trace.channels) {
      text += ',';
      append(text, to_unit(channel.value[row], channel.quantity, csv_unit(channel.quantity, metric)));
    }
    text += "\n";
  }
  return text;
}

}  // namespace railseep
