#include "quantity/quantity.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <vector>

#include "quantity/error.hpp"
#include "quantity/unit_spellings.hpp"

namespace railseep {
namespace {

constexpr std::size_t longest_text = 100;  // of a number with its unit

std::string in_quotes(std::string_view text) { return "\"" + std::string(text) + "\""; }

std::string with_article(std::string_view noun) {
  const bool vowel = std::string_view("aeiou").find(noun.front()) != std::string_view::npos;
  return (vowel ? "an " : "a ") + std::string(noun);
}

}  // namespace

std::string how_to_write(Quantity quantity) {
  return "write " + with_article(info(quantity).name) + " such as " + in_quotes(info(quantity).example);
}

namespace {

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blank = " \t\r\n";
  const auto first = text.find_first_not_of(blank);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blank) - first + 1);
}

const Unit* lookup(std::string_view symbol, Quantity quantity) {
  for (const auto& [other, usual] : unit_spellings()) {
    if (symbol == other) symbol = usual;
  }
  for (const Unit& unit : units()) {
    if (unit.quantity == quantity && unit.symbol == symbol) return &unit;
  }
  return nullptr;
}

// What is wrong with a unit that lookup() did not find. text: what the user wrote around it, or the unit alone.
Error unit_error(std::string_view text, std::string_view symbol, Quantity quantity) {
  if (symbol.empty()) return {"", in_quotes(text) + " has no unit", how_to_write(quantity)};
  for (const Unit& unit : units()) {
    if (lookup(symbol, unit.quantity) == nullptr) continue;
    const std::string_view other = info(unit.quantity).name;
    const std::string what = text == symbol ? "a unit of " + std::string(other) : with_article(other);
    return {"", in_quotes(text) + " is " + what, how_to_write(quantity)};
  }

  std::vector<std::string> known;
  std::string list;
  for (const Unit& unit : units()) {
    if (unit.quantity != quantity || unit.symbol.empty()) continue;
    known.emplace_back(unit.symbol);
    list += (list.empty() ? "" : ", ") + known.back();
  }
  const std::string nearest = nearest_word(symbol, known);
  const std::string hint = nearest.empty() ? "" : "did you mean " + in_quotes(nearest) + "? ";
  return {"", in_quotes(text) + " has the unknown unit " + in_quotes(symbol),
          hint + "units of " + std::string(info(quantity).name) + ": " + list};
}

// The number at the front of a text; takes it off the text. Never looks at the locale.
long double take_number(std::string_view text, std::string_view& rest, Quantity quantity) {
  rest = text;
  if (rest.starts_with('+') && !rest.starts_with("+-")) rest.remove_prefix(1);
  long double number = 0;
  const auto [end, trouble] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (trouble == std::errc::invalid_argument)
    throw Error("", in_quotes(text) + " has no number", how_to_write(quantity));
  if (trouble != std::errc() || !std::isfinite(number)) {
    throw Error("", in_quotes(text) + " is not a finite number", how_to_write(quantity));
  }
  rest = trimmed(rest.substr(static_cast<std::size_t>(end - rest.data())));
  if (rest.starts_with(',')) {
    throw Error("", in_quotes(text) + " has a comma in its number",
                "write a decimal point and no thousands separators, such as " + in_quotes(info(quantity).example));
  }
  if (!rest.empty() && std::string_view("0123456789.+-").find(rest.front()) != std::string_view::npos) {
    // "1/min" is the one unit that starts with a digit.
    if (lookup(rest, quantity) == nullptr)
      throw Error("", in_quotes(text) + " is not one number", how_to_write(quantity));
  }
  return number;
}

long double written_in(double si, const Unit& unit) { return (si - unit.offset) / unit.factor; }

double si_of(long double written, const Unit& unit) { return static_cast<double>(written * unit.factor + unit.offset); }

// Decimal digits of a number: as the format says, with so many significant digits or decimals.
std::string digits_of(long double number, std::chars_format format, int digits) {
  std::array<char, 64> buffer;
  const auto [end, trouble] = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number, format, digits);
  return {buffer.data(), end};
}

std::string with_symbol(std::string number, const Unit& unit) {
  if (!unit.symbol.empty()) number += " " + std::string(unit.symbol);
  return number;
}

}  // namespace

const Unit& find_unit(std::string_view symbol, Quantity quantity) {
  const Unit* unit = lookup(symbol, quantity);
  if (unit == nullptr) throw unit_error(symbol, symbol, quantity);
  return *unit;
}

double parse_quantity(std::string_view text, Quantity quantity) {
  text = trimmed(text);
  if (text.empty()) throw Error("", "the text is empty", how_to_write(quantity));
  if (text.size() > longest_text)
    throw Error("", in_quotes(text.substr(0, 20)) + "... is too long for a number", how_to_write(quantity));
  std::string_view symbol;
  const long double number = take_number(text, symbol, quantity);
  const Unit* unit = lookup(symbol, quantity);
  if (unit == nullptr) throw unit_error(text, symbol, quantity);
  const double si = si_of(number, *unit);
  if (!std::isfinite(si)) throw Error("", in_quotes(text) + " is not a finite number", how_to_write(quantity));
  return si;
}

double to_unit(double si, Quantity quantity, std::string_view unit) {
  return static_cast<double>(written_in(si, find_unit(unit, quantity)));
}

double from_unit(double written, Quantity quantity, std::string_view unit) {
  return si_of(written, find_unit(unit, quantity));
}

std::string format_quantity(double si, Quantity quantity, std::string_view unit_symbol, int digits) {
  const Unit& unit = find_unit(unit_symbol, quantity);
  const long double number = written_in(si, unit);
  if (number == 0) return with_symbol("0", unit);
  const long double size = std::fabs(number);
  if (!(size >= 1e-4L && size < 1e9L)) return with_symbol(digits_of(number, std::chars_format::general, digits), unit);

  // Plain decimals, without the zeros at their end; digits before the point are never cut.
  const int before_point = 1 + static_cast<int>(std::floor(std::log10(size)));
  std::string text = digits_of(number, std::chars_format::fixed, std::max(0, digits - before_point));
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
  }
  return with_symbol(text, unit);
}

namespace {

constexpr int most_plain_digits = 6;  // of a whole number that is not written with an exponent

}  // namespace

std::string write_quantity(double si, Quantity quantity, std::string_view unit_symbol) {
  const Unit& unit = find_unit(unit_symbol, quantity);
  if (!std::isfinite(si)) {
    throw Error("", "the " + std::string(info(quantity).name) + " is not a finite number", how_to_write(quantity));
  }
  // Neighbouring doubles differ by 1.1e-16 of their size or more, texts of 17 digits by 1e-16 or less: one always fits.
  for (int digits = 1; digits <= 17; ++digits) {
    const auto written = [&](int with) {
      return with_symbol(digits_of(written_in(si, unit), std::chars_format::general, with), unit);
    };
    if (parse_quantity(written(digits), quantity) != si) continue;
    // "4830 min" and not "4.83e+03 min".
    for (int plain = digits; plain <= most_plain_digits; ++plain)
      if (written(plain).find("e+") == std::string::npos && parse_quantity(written(plain), quantity) == si)
        return written(plain);
    return written(digits);
  }
  return write_quantity(si, quantity, info(quantity).si_unit);
}

namespace {

constexpr int usual_digits = 4;

bool inside(double si, const QuantityRange& range) { return si >= range.least && si <= range.most; }

/// One end of a range in so few digits, rounded towards the other end where the nearest text lies outside.
std::string end_text(double si, const QuantityRange& range, long double (*inward)(long double)) {
  std::string text = format_quantity(si, range.quantity, range.unit, usual_digits);
  if (inside(parse_quantity(text, range.quantity), range)) return text;
  const Unit& unit = find_unit(range.unit, range.quantity);
  const long double number = written_in(si, unit),
                    place = std::pow(10.0L, std::floor(std::log10(std::fabs(number))) + 1 - usual_digits);
  return format_quantity(si_of(inward(number / place) * place, unit), range.quantity, range.unit, usual_digits);
}

}  // namespace

std::string range_text(const QuantityRange& range) {
  return end_text(range.least, range, std::ceil) + " to " + end_text(range.most, range, std::floor);
}

double within_range(double si, const QuantityRange& range, const std::string& place) {
  if (inside(si, range)) return si;
  std::string text = format_quantity(si, range.quantity, range.unit, usual_digits);
  for (int digits = usual_digits + 1;
       digits <= 17 && std::isfinite(si) && inside(parse_quantity(text, range.quantity), range); ++digits)
    text = format_quantity(si, range.quantity, range.unit, digits);
  throw Error(place, text + " is out of range", "write " + range_text(range));
}

}  // namespace railseep
