#include "job/value_in_words.hpp"

#include <algorithm>
#include <cctype>

#include "decide/check_reading.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

namespace {

bool same_letters(std::string_view a, std::string_view b) {
  return std::ranges::equal(a, b, [](unsigned char x, unsigned char y) { return std::tolower(x) == std::tolower(y); });
}

/// The first number in a text that a unit of this quantity follows, as "1900 psi"; empty: there is none.
std::string value_in(const std::string& text, Quantity quantity) {
  const auto is_digit = [](unsigned char c) { return std::isdigit(c) != 0; };
  const auto is_letter = [](unsigned char c) { return std::isalpha(c) != 0; };
  for (auto begin = std::ranges::find_if(text, is_digit); begin != text.end();) {
    const auto end = std::find_if(begin, text.end(), [&](char c) { return !is_digit(c) && c != '.'; });
    const auto unit = std::find_if(end, text.end(), [](char c) { return c != ' '; });
    const std::string word(unit, std::find_if_not(unit, text.end(), is_letter));
    for (const Unit& known : units())
      if (known.quantity == quantity && !word.empty() && same_letters(known.symbol, word))
        return std::string(begin, end) + " " + std::string(known.symbol);
    begin = std::find_if(end, text.end(), is_digit);
  }
  return "";
}

std::string quoted(std::string_view key, std::string_view value) {
  return "\"" + std::string(key) + "\": \"" + std::string(value) + "\"";
}

}  // namespace

std::string better_told(const JobFinding& finding) {
  if (!finding.in_words()) return "";
  if (finding.check == "coil resistance") {
    const std::string value = value_in(finding.text, Quantity::resistance);
    return value.empty() ? "" : "write " + quoted("resistance", value) + " beside \"check\"";
  }
  const std::string look = check_of_look(finding.check, finding.place);
  const std::string id = look.empty() ? finding.check : std::string(look);
  const std::optional<CheckReading> reading = reading_of_check(id);
  const std::string value = reading ? value_in(finding.text, kind_quantity(reading->kind)) : "";
  if (value.empty()) return "";
  const bool at_rest = reading->done == Situation::Done::key_on;
  const std::string one_rail = "one rail: ";
  const std::string block = id.starts_with(one_rail) ? id.substr(one_rail.size()) : std::string(reading->block);
  return "write it among the readings: {" + quoted("kind", kind_name(reading->kind)) + ", " + quoted("value", value) +
         ", " + quoted("moment", at_rest ? "key on" : "cranking") +
         (block.empty() ? "" : ", " + quoted("block", block)) +
         (at_rest ? "" : ", \"oil_temperature\": that of the oil") + ", " + quoted("check", id) + "}";
}

}  // namespace railseep
