#include "log/log_unit.hpp"

#include <algorithm>
#include <cctype>
#include <unordered_map>

namespace railseep {
namespace {

// What measured logs hold; the units of other quantities would only be confused with these ("h", "H").
constexpr Quantity logged[] = {Quantity::pressure, Quantity::temperature, Quantity::speed,  Quantity::time,
                               Quantity::ratio,    Quantity::voltage,     Quantity::current};

// Spellings met in logs (common practice, no source), without blanks and brackets, in lower case.
constexpr UnitSpelling known_spellings[] = {
    {"lbf/in2", "psi"},    {"lb/in2", "psi"},      {"p.s.i.", "psi"},
    {"n/mm2", "mpa"},      {"n/mm²", "mpa"},       {"kg/cm2", "kgf/cm2"},
    {"kg/cm²", "kgf/cm2"}, {"kgf/cm²", "kgf/cm2"}, {"kp/cm2", "kgf/cm2"},
    {"kp/cm²", "kgf/cm2"}, {"volts", "v"},         {"volt", "v"},
    {"vdc", "v"},          {"voltios", "v"},       {"millivolts", "mv"},
    {"percent", "%"},      {"pct", "%"},           {"%dc", "%"},
    {"%duty", "%"},        {"prozent", "%"},       {"1/min", "rpm"},
    {"r/min", "rpm"},      {"rev/min", "rpm"},     {"min-1", "rpm"},
    {"min⁻¹", "rpm"},      {"min^-1", "rpm"},      {"u/min", "rpm"},
    {"r.p.m.", "rpm"},     {"tr/min", "rpm"},      {"tr/mn", "rpm"},
    {"tpm", "rpm"},        {"1/s", "rev/s"},       {"c", "degc"},
    {"°c", "degc"},        {"ºc", "degc"},         {"℃", "degc"},
    {"celsius", "degc"},   {"deg.c", "degc"},      {"gradc", "degc"},
    {"degreesc", "degc"},  {"f", "degf"},          {"°f", "degf"},
    {"ºf", "degf"},        {"℉", "degf"},          {"fahrenheit", "degf"},
    {"deg.f", "degf"},     {"degreesf", "degf"},   {"°k", "k"},
    {"kelvin", "k"},       {"sec", "s"},           {"sec.", "s"},
    {"secs", "s"},         {"second", "s"},        {"seconds", "s"},
    {"sek", "s"},          {"sekunden", "s"},      {"secondes", "s"},
    {"seg", "s"},          {"segundos", "s"},      {"msec", "ms"},
    {"millisec", "ms"},    {"milliseconds", "ms"}, {"usec", "us"},
    {"µs", "us"},          {"μs", "us"},           {"microseconds", "us"},
    {"minutes", "min"},    {"mins", "min"},        {"hours", "h"},
    {"hr", "h"},           {"hrs", "h"},           {"amps", "a"},
    {"amp", "a"},          {"ampere", "a"},        {"milliamps", "ma"},
};

// What may follow the unit of a pressure and says what it is measured from.
constexpr std::string_view absolute_words[] = {"absolute", "absolut", "absolue", "absoluta", "absoluto", "abs", "a"};
constexpr std::string_view gauge_words[] = {"gauge", "gage", "relative", "relativ", "rel", "g"};

// Units with a symbol that the program's own table does not offer. SI = written*factor.
constexpr LogUnit extra[] = {
    // Conventional millimetre of mercury 133.322387415 Pa (ISO 80000-4 remark; from memory).
    {"inHg", Quantity::pressure, 25.4 * 133.322387415, 0},
    {"mmHg", Quantity::pressure, 133.322387415, 0},
    {"hPa", Quantity::pressure, 100, 0},
    {"kgf/cm2", Quantity::pressure, 98066.5, 0},  // technical atmosphere, exact: standard gravity, 3rd CGPM (1901)
    {"ksi", Quantity::pressure, 6894757.293168, 0},
    {"days", Quantity::time, 86400, 0},
};

std::string lower_without_blanks(std::string_view text) {
  std::string result;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text.substr(i).starts_with("\xC2\xA0")) {  // no-break space
      ++i;
    } else if (std::string_view(" \t\n()[]{}").find(text[i]) == std::string_view::npos) {
      result += static_cast<char>(std::tolower(static_cast<unsigned char>(text[i])));
    }
  }
  return result;
}

// Every unit of a log under its lower-case symbol; of two alike, the first.
std::unordered_map<std::string, LogUnit> units_of_logs() {
  std::unordered_map<std::string, LogUnit> found;
  for (const Unit& unit : units()) {
    if (unit.symbol.empty() || std::ranges::find(logged, unit.quantity) == std::end(logged)) continue;
    const auto factor = static_cast<double>(unit.factor), offset = static_cast<double>(unit.offset);
    found.emplace(lower_without_blanks(unit.symbol), LogUnit{unit.symbol, unit.quantity, factor, offset});
  }
  for (const LogUnit& unit : log_only_units()) found.emplace(lower_without_blanks(unit.symbol), unit);
  return found;
}

std::optional<LogUnit> find_symbol(std::string_view word) {
  static const auto known = units_of_logs();
  for (const auto& [other, usual] : log_unit_spellings()) {
    if (word == other) word = usual;
  }
  const auto found = known.find(std::string(word));
  if (found == known.end()) return std::nullopt;
  return found->second;
}

// "psia", "bar(abs)", "kPa absolute", "psig".
std::optional<LogUnit> find_pressure_from(std::string_view word) {
  for (const bool absolute : {true, false}) {
    const std::span<const std::string_view> ends =
        absolute ? std::span<const std::string_view>(absolute_words) : gauge_words;
    for (const std::string_view end : ends) {
      if (!word.ends_with(end)) continue;
      auto unit = find_symbol(word.substr(0, word.size() - end.size()));
      if (!unit || unit->quantity != Quantity::pressure) continue;
      if (!absolute) return unit;
      unit->absolute = true;
      unit->offset = -atmospheric_pressure;
      return unit;
    }
  }
  return std::nullopt;
}

}  // namespace

std::span<const UnitSpelling> log_unit_spellings() { return known_spellings; }

std::span<const LogUnit> log_only_units() { return extra; }

std::string LogUnit::name() const { return std::string(symbol) + (absolute ? " abs" : ""); }

std::optional<LogUnit> find_log_unit(std::string_view text) {
  if (text.empty() || text.size() > 24) return std::nullopt;
  const std::string word = lower_without_blanks(text);
  if (const auto unit = find_symbol(word)) return unit;
  return find_pressure_from(word);
}

std::string in_unit(double si, const LogUnit& unit, int digits) {
  const std::string number = format_quantity((si - unit.offset) / unit.factor, Quantity::ratio, "", digits);
  return number + (unit.symbol == "x" ? "" : " " + unit.name());
}

}  // namespace railseep
