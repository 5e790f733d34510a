#include <array>
#include <utility>

#include "log/log_options.hpp"
#include "log/log_unit.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

constexpr std::array encodings = {std::pair(TextEncoding::utf8, std::string_view("utf-8")),
                                  std::pair(TextEncoding::utf16_le, std::string_view("utf-16le")),
                                  std::pair(TextEncoding::utf16_be, std::string_view("utf-16be")),
                                  std::pair(TextEncoding::latin1, std::string_view("latin-1"))};
constexpr std::array styles = {std::pair(NumberStyle::decimal_point, std::string_view("point")),
                               std::pair(NumberStyle::decimal_comma, std::string_view("comma"))};
constexpr std::array separators = {std::pair('\t', std::string_view("tab")), std::pair(' ', std::string_view("blank"))};

// The value that a word stands for. @throws Error naming the words that would do
template <typename Rows>
auto parse_word(const Rows& rows, const std::string& text, const std::string& what) {
  std::string list;
  for (const auto& [value, name] : rows) {
    if (name == text) return value;
    list += (list.empty() ? "\"" : ", \"") + std::string(name) + "\"";
  }
  throw Error("", "\"" + text + "\" is no " + what, "write one of " + list);
}

template <typename Rows, typename Value>
std::string_view word_of(const Rows& rows, Value wanted) {
  for (const auto& [value, name] : rows)
    if (value == wanted) return name;
  return "";
}

}  // namespace

std::string_view word(TextEncoding encoding) { return word_of(encodings, encoding); }
std::string_view word(NumberStyle style) { return word_of(styles, style); }

TextEncoding parse_encoding(const std::string& text) { return parse_word(encodings, text, "encoding"); }
NumberStyle parse_number_style(const std::string& text) { return parse_word(styles, text, "decimal mark"); }

char parse_separator(const std::string& text) {
  if (text == "," || text == ";" || text == "|") return text.front();
  for (const auto& [value, name] : separators)
    if (name == text) return value;
  throw Error("", "\"" + text + "\" is no separator", "write one of \",\", \";\", \"|\", \"tab\", \"blank\"");
}

std::string separator_word(char separator) {
  const std::string_view name = word_of(separators, separator);
  return name.empty() ? std::string(1, separator) : std::string(name);
}

std::string parse_time_unit(const std::string& text) {
  const auto unit = find_log_unit(text);
  if (!unit || unit->quantity != Quantity::time)
    throw Error("", "\"" + text + "\" is no unit of time",
                "write one of \"s\", \"ms\", \"us\", \"min\", \"h\", \"days\"");
  return unit->name();
}

}  // namespace railseep
