#include "log/cell.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <optional>

#include "log/log_unit.hpp"
#include "log/split_table.hpp"

namespace railseep {
namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }

std::size_t digits_at(std::string_view text, std::size_t i) {
  std::size_t n = 0;
  while (i + n < text.size() && digit(text[i + n])) ++n;
  return n;
}

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return result;
}

// What may stand between thousands besides a point or a comma: an apostrophe, a no-break or a thin blank.
std::size_t other_group_mark(std::string_view text) {
  for (const std::string_view mark : {"'", "\xE2\x80\x99", "\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x89"}) {
    if (text.starts_with(mark)) return mark.size();
  }
  return 0;
}

std::size_t group_mark(std::string_view text, char group) {
  if (text.empty()) return 0;
  return text.front() == group ? 1 : other_group_mark(text);
}

// "1.234,5 psi" -> "1234.5", and what follows it. Marks between thousands count only before three digits.
std::string take_digits(std::string_view& text, NumberStyle style) {
  const char decimal = style == NumberStyle::decimal_point ? '.' : ',';
  const char group = style == NumberStyle::decimal_point ? ',' : '.';
  std::string number;
  std::size_t i = 0;
  if (text.starts_with("\xE2\x88\x92"))
    number += '-', i = 3;  // the typographic minus
  else if (text.starts_with('-'))
    number += '-', i = 1;
  else if (text.starts_with('+'))
    i = 1;

  std::size_t run = digits_at(text, i), digits = run;
  number += text.substr(i, run);
  for (i += run; run >= 1 && run <= 3 && i < text.size();) {
    const std::size_t mark = group_mark(text.substr(i), group);
    if (mark == 0 || digits_at(text, i + mark) != 3) break;
    number += text.substr(i + mark, 3);
    run = 3;
    i += mark + 3;
  }
  if (i < text.size() && text[i] == decimal) {
    const std::size_t decimals = digits_at(text, i + 1);
    digits += decimals;
    number += '.';
    number += text.substr(i + 1, decimals);
    i += 1 + decimals;
  }
  if (digits == 0) return "";
  if (i < text.size() && (text[i] == 'e' || text[i] == 'E')) {
    const std::size_t sign = i + 1 < text.size() && (text[i + 1] == '-' || text[i + 1] == '+');
    const std::size_t exponent = digits_at(text, i + 1 + sign);
    if (exponent > 0) {
      number += text.substr(i, 1 + sign + exponent);
      i += 1 + sign + exponent;
    }
  }
  text = without_blanks(text.substr(i));
  return number;
}

// Most cells are plain numbers: digits, perhaps a minus and a decimal mark, nothing else.
std::optional<double> plain_number(std::string_view text, NumberStyle style) {
  constexpr std::size_t longest = 20;
  if (text.empty() || text.size() > longest || !digit(text.back()) || !(digit(text.front()) || text.front() == '-'))
    return std::nullopt;
  std::array<char, longest> copy;
  const char* from = text.data();
  if (style == NumberStyle::decimal_comma) {
    if (text.find('.') != std::string_view::npos) return std::nullopt;
    std::replace_copy(text.begin(), text.end(), copy.begin(), ',', '.');
    from = copy.data();
  }
  double number = 0;
  const auto [end, trouble] = std::from_chars(from, from + text.size(), number, std::chars_format::fixed);
  if (trouble != std::errc() || end != from + text.size()) return std::nullopt;
  return number;
}

bool is_blank_word(const std::string& word) {
  constexpr std::array<std::string_view, 16> words = {"",     "-",    "--",  "---",          "----",   "n/a",
                                                      "na",   "#n/a", "nan", "no data",      "nodata", "null",
                                                      "none", "?",    "***", "not available"};
  return std::find(words.begin(), words.end(), word) != words.end();
}

struct ClockParts {
  std::array<double, 4> value{};
  std::size_t count = 0;
};

// Two to four parts: minutes:seconds, hours:minutes:seconds, and :milliseconds behind them. What is read leaves the
// text.
std::optional<ClockParts> take_clock_parts(std::string_view& rest) {
  ClockParts parts;
  while (parts.count < parts.value.size()) {
    const std::size_t whole = digits_at(rest, 0);
    if (whole == 0 || whole > 3) return std::nullopt;
    std::size_t length = whole;
    std::string number(rest.substr(0, whole));
    if (whole < rest.size() && (rest[whole] == '.' || rest[whole] == ',')) {
      const std::size_t decimals = digits_at(rest, whole + 1);
      number += '.';
      number += rest.substr(whole + 1, decimals);
      length += 1 + decimals;
    }
    std::from_chars(number.data(), number.data() + number.size(), parts.value[parts.count++]);
    rest.remove_prefix(length);
    if (!rest.starts_with(':')) break;
    rest.remove_prefix(1);
  }
  return parts;
}

// What "am", "pm" or a time zone behind the time adds to it [s]; nullopt: something else stands there.
std::optional<double> half_day(const std::string& tail, double hours) {
  constexpr double half = 43200;
  if (tail == "pm") return hours < 12 ? half : 0;
  if (tail == "am") return hours >= 12 ? -half : 0;
  const bool zone = tail.empty() || tail == "z" || tail[0] == '+' || tail[0] == '-';
  return zone ? std::optional(0.0) : std::nullopt;
}

}  // namespace

Cell read_cell(std::string_view text, NumberStyle style) {
  text = without_blanks(text);
  if (const auto plain = plain_number(text, style)) return {Cell::What::number, *plain, {}};
  if (text.size() > 80) return {};
  const std::string word = lower(text);
  if (is_blank_word(word)) return {Cell::What::blank, 0, {}};
  if (word == "yes" || word == "on" || word == "true") return {Cell::What::yes_no, 1, {}};
  if (word == "no" || word == "off" || word == "false") return {Cell::What::yes_no, 0, {}};
  if (word.starts_with("0x")) {
    unsigned long long whole = 0;
    const auto [end, trouble] = std::from_chars(word.data() + 2, word.data() + word.size(), whole, 16);
    if (trouble != std::errc() || end != word.data() + word.size()) return {};
    return {Cell::What::number, static_cast<double>(whole), {}, true};
  }
  const std::string digits = take_digits(text, style);
  double number = 0;
  const auto [end, trouble] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
  if (digits.empty() || trouble != std::errc() || end != digits.data() + digits.size()) return {};
  constexpr std::string_view never_a_unit =
      ".,:;";  // what no unit begins with: the rest of a time of day, or of another style's number
  if (!text.empty() && (never_a_unit.find(text.front()) != std::string_view::npos || !find_log_unit(text))) return {};
  return {Cell::What::number, number, text};
}

// "09:20:48.123" alone, as most logs with a clock have it.
std::optional<double> plain_clock(std::string_view text) {
  const auto two_digits = [&](std::size_t at) {
    return digit(text[at]) && digit(text[at + 1]) && (at == 6 || text[at + 2] == ':');
  };
  if (text.size() < 8 || text.size() > 15 || !two_digits(0) || !two_digits(3) || !two_digits(6)) return std::nullopt;
  if (text.size() > 8 && (text[8] != '.' || text.size() == 9)) return std::nullopt;
  const auto number = [&](std::size_t at) { return 10 * (text[at] - '0') + (text[at + 1] - '0'); };
  double seconds = 0;
  const auto [end, trouble] =
      std::from_chars(text.data() + 6, text.data() + text.size(), seconds, std::chars_format::fixed);
  if (trouble != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return 3600 * number(0) + 60 * number(3) + seconds;
}

std::optional<ClockTime> read_clock(std::string_view text) {
  text = without_blanks(text);
  if (const auto plain = plain_clock(text)) return ClockTime{*plain, {}};
  const auto colon = text.find(':');
  if (colon == std::string_view::npos || text.size() > 48) return std::nullopt;
  std::size_t start = colon;
  while (start > 0 && digit(text[start - 1])) --start;
  if (colon == start || colon - start > 2) return std::nullopt;
  std::string_view date = without_blanks(text.substr(0, start));
  if (date.ends_with('T')) date.remove_suffix(1);
  if (!date.empty() && digits_at(date, 0) == 0) return std::nullopt;

  std::string_view rest = text.substr(start);
  auto parts = take_clock_parts(rest);
  if (!parts || parts->count < 2) return std::nullopt;
  auto& part = parts->value;
  if (parts->count == 2 && date.empty()) part = {0, part[0], part[1]};  // minutes:seconds; behind a date hours:minutes
  const auto half = half_day(lower(without_blanks(rest)), part[0]);
  if (!half) return std::nullopt;
  return ClockTime{part[0] * 3600 + part[1] * 60 + part[2] + part[3] / 1000 + *half, date};
}

bool is_value(std::string_view text) {
  return read_cell(text, NumberStyle::decimal_point).what != Cell::What::text ||
         read_cell(text, NumberStyle::decimal_comma).what != Cell::What::text || read_clock(text).has_value();
}

void StyleEvidence::weigh(std::string_view text) {
  const auto first_mark = text.find_first_of(".,");
  const auto first = text.find_first_of("0123456789");
  if (first == std::string_view::npos) return;
  if (first_mark == std::string_view::npos) {
    bare_hundreds += digits_at(text, first) == 3 && without_blanks(text).size() == 3;
    return;
  }
  if (text.find_first_of(":/") != std::string_view::npos) return;
  const std::string_view number = text.substr(first, text.find_first_not_of("0123456789.,", first) - first);
  const auto points = std::count(number.begin(), number.end(), '.');
  const auto commas = std::count(number.begin(), number.end(), ',');
  if (points + commas == 0) return;
  const std::size_t mark = number.find_first_of(".,"), last = number.find_last_of(".,");
  bool in_threes = mark >= 1 && mark <= 3;
  for (std::size_t i = mark; i < number.size() && in_threes; i += 4) {
    in_threes = (number[i] == '.' || number[i] == ',') && digits_at(number, i + 1) == 3;
  }

  if (points > 0 && commas > 0) {
    ++(number[last] == ',' ? comma : point);
  } else if (points + commas > 1) {
    if (in_threes) ++(points > 0 ? point_groups : comma_groups);
  } else if (!in_threes || number[0] == '0') {
    ++(points > 0 ? point : comma);
  } else if (commas > 0) {
    ++unclear_comma;
  }
}

StyleGuess guess_style(const StyleEvidence& column, const StyleEvidence& file) {
  using enum NumberStyle;
  if (column.point_groups + column.comma_groups > 0) {
    return {column.point_groups > column.comma_groups ? decimal_comma : decimal_point};
  }
  if (column.comma != column.point) return {column.comma > column.point ? decimal_comma : decimal_point};
  if (file.comma != file.point) return {file.comma > file.point ? decimal_comma : decimal_point};
  // "993" and then "1,566": a number with three decimals does not lose all of them.
  if (column.unclear_comma > 0 && column.bare_hundreds > 0) return {decimal_point};
  return {decimal_point, column.unclear_comma > 0};
}

}  // namespace railseep
