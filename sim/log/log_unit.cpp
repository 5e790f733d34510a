#include "log/log_unit.hpp"

#include <algorithm>
#include <cctype>
#include <utility>

namespace railseep {
namespace {

// What measured logs hold; the units of other quantities would only be confused with these ("h", "H").
constexpr Quantity logged[] = {Quantity::pressure, Quantity::temperature, Quantity::speed,  Quantity::time,
                               Quantity::ratio,    Quantity::voltage,     Quantity::current};

constexpr std::pair<std::string_view, std::string_view> spellings[] = {
    {"lbf/in2", "psi"},     {"psig", "psi"},        {"barg", "bar"},        {"kpag", "kpa"},    {"mpag", "mpa"},
    {"volts", "v"},         {"volt", "v"},          {"millivolts", "mv"},   {"percent", "%"},   {"pct", "%"},
    {"%dc", "%"},           {"1/min", "rpm"},       {"r/min", "rpm"},       {"rev/min", "rpm"}, {"min-1", "rpm"},
    {"c", "degc"},          {"°c", "degc"},         {"celsius", "degc"},    {"f", "degf"},      {"°f", "degf"},
    {"fahrenheit", "degf"}, {"sec", "s"},           {"secs", "s"},          {"second", "s"},    {"seconds", "s"},
    {"msec", "ms"},         {"millisec", "ms"},     {"milliseconds", "ms"}, {"usec", "us"},     {"µs", "us"},
    {"μs", "us"},           {"microseconds", "us"}, {"minutes", "min"},     {"amps", "a"},      {"psiabs", "psia"},
    {"kpaabs", "kpaa"},     {"barabs", "bara"},     {"mpaabs", "mpaa"},
};

std::string lower_without_blanks(std::string_view text) {
  std::string result;
  for (const char c : text) {
    if (std::string_view(" \t()[]").find(c) == std::string_view::npos) {
      result += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
  }
  return result;
}

std::optional<LogUnit> find_symbol(const std::string& word) {
  for (const Unit& unit : units()) {
    if (unit.symbol.empty() || lower_without_blanks(unit.symbol) != word) continue;
    if (std::find(std::begin(logged), std::end(logged), unit.quantity) == std::end(logged)) continue;
    return LogUnit{std::string(unit.symbol), unit.quantity, static_cast<double>(unit.factor),
                   static_cast<double>(unit.offset)};
  }
  return std::nullopt;
}

}  // namespace

std::optional<LogUnit> find_log_unit(std::string_view text) {
  if (text.size() > 24) return std::nullopt;
  std::string word = lower_without_blanks(text);
  for (const auto& [other, usual] : spellings) {
    if (word == other) word = usual;
  }
  if (const auto unit = find_symbol(word)) return unit;

  // Conventional millimetre of mercury 133.322387415 Pa (ISO 80000-4 remark; from memory).
  if (word == "inhg") return LogUnit{"inHg", Quantity::pressure, 25.4 * 133.322387415, 0};
  if (word == "psia" || word == "kpaa" || word == "bara" || word == "mpaa") {
    auto unit = *find_symbol(word.substr(0, word.size() - 1));
    unit.symbol += " abs";
    unit.offset = -atmospheric_pressure;
    return unit;
  }
  return std::nullopt;
}

}  // namespace railseep
