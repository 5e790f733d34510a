#include "words/shown_units.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdio>
#include <sstream>

#include "quantity/error.hpp"

namespace railseep {

std::string_view ShownUnits::unit(Quantity quantity, std::string_view hint) const {
  switch (quantity) {
    case Quantity::pressure:
      return pressure;
    case Quantity::temperature:
      return temperature;
    case Quantity::length:
      return length == "mm" && !hint.empty() ? hint : std::string_view(length);
    case Quantity::volume_flow:
      return hint == "L/min" ? hint : std::string_view(flow);  // air is metered in litres a minute
    case Quantity::volume:
      return "cm3";
    case Quantity::speed:
      return "rpm";
    case Quantity::ratio:
      return hint == "x" ? "x" : "%";
    case Quantity::mass_flow:
      return "g/s";
    case Quantity::displacement:
      return "cm3/rev";
    case Quantity::inductance:
      return "mH";
    case Quantity::kinematic_viscosity:
      return "mm2/s";
    case Quantity::dynamic_viscosity:
      return "mPa.s";
    default:
      return hint.empty() ? info(quantity).si_unit : hint;
  }
}

double ShownUnits::number(double si, Quantity quantity, std::string_view hint) const {
  return to_unit(si, quantity, unit(quantity, hint));
}

double ShownUnits::si(double shown, Quantity quantity, std::string_view hint) const {
  return from_unit(shown, quantity, unit(quantity, hint));
}

double ShownUnits::read(std::string_view typed, Quantity quantity, std::string_view hint) const {
  std::string text(typed);
  // As units are printed, and a decimal comma.
  for (const auto& [printed, symbol] :
       {std::pair("°", "deg"), std::pair("µ", "u"), std::pair("Ω", "ohm"), std::pair("³", "3"), std::pair("²", "2"),
        std::pair("×", "x"), std::pair(",", ".")})
    for (std::size_t at = 0; (at = text.find(printed, at)) != std::string::npos;)
      text.replace(at, std::string_view(printed).size(), symbol);
  const std::size_t end = text.find_last_not_of(' ');
  text.resize(end == std::string::npos ? 0 : end + 1);
  const bool bare = !text.empty() && text.find_first_not_of("0123456789.+- ") == std::string::npos;
  return parse_quantity(bare ? text + " " + std::string(unit(quantity, hint)) : text, quantity);
}

std::string ShownUnits::text(double si, Quantity quantity, std::string_view hint, int digits) const {
  const std::string symbol = printed_unit(unit(quantity, hint));
  return plain_number(number(si, quantity, hint), digits) + (symbol.empty() ? "" : " " + symbol);
}

std::string ShownUnits::typed(double si, Quantity quantity, std::string_view hint, int digits) const {
  const std::string symbol(unit(quantity, hint));
  return plain_number(number(si, quantity, hint), digits) + (symbol.empty() ? "" : " " + symbol);
}

ShownUnits parse_units(const std::string& words, ShownUnits units) {
  std::istringstream text(words);
  for (std::string word; text >> word;) {
    if (word.ends_with(',')) word.pop_back();
    if (word == "psi" || word == "bar" || word == "MPa")
      units.pressure = word;
    else if (word == "degC" || word == "degF")
      units.temperature = word;
    else if (word == "mm" || word == "in")
      units.length = word;
    else if (word == "cm3/s" || word == "L/min")
      units.flow = word;
    else
      throw Error("units", "\"" + word + "\" is not offered",
                  "write words of: psi bar MPa, degC degF, mm in, cm3/s L/min");
  }
  return units;
}

std::string printed_unit(std::string_view symbol) {
  if (symbol == "x") return "×";
  std::string text(symbol);
  if (text.starts_with("deg") && text.size() == 4) return "°" + text.substr(3);
  if (text == "um") return "µm";
  if (text == "ohm") return "Ω";
  for (const auto& [plain, raised] : {std::pair("m3", "m³"), std::pair("m2", "m²")})
    if (const std::size_t at = text.find(plain); at != std::string::npos) text.replace(at, 2, raised);
  return text;
}

std::string percent(double share) {
  return share < 0.005 ? "<1 %" : plain_number(100 * share, share < 0.1 ? 1 : 2) + " %";
}

std::string in_ten(double share) {
  const int tenths = static_cast<int>(std::lround(10 * share));
  return tenths >= 10 ? "more than 9 in 10" : tenths <= 0 ? "less than 1 in 10" : std::to_string(tenths) + " in 10";
}

std::string plain_number(double value, int digits) {
  if (!std::isfinite(value)) return "-";
  const double size = std::abs(value);
  const int before = size < 1e-12 ? 1 : static_cast<int>(std::floor(std::log10(size))) + 1;
  char text[40];
  std::snprintf(text, sizeof text, "%.*f", std::clamp(digits - before, 0, 6), value);
  return std::string(text) == "-0" ? "0" : text;
}

std::string capital(std::string_view words) {
  std::string text(words);
  if (!text.empty()) text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  return text;
}

}  // namespace railseep
