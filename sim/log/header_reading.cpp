#include "log/header_reading.hpp"

#include "log/header_words.hpp"
#include "log/log_unit.hpp"

namespace railseep {
namespace {

constexpr std::string_view unit_marks = " _,-./";  // what may stand before a unit at the end of a header

// Takes the brackets out of a name. They hold the unit, "ICP (psi)", or a remark that stays in the name, "ICP
// (desired)".
void read_brackets(std::string& name, HeaderReading& reading) {
  for (auto open = name.find_first_of("([{"); open != std::string::npos; open = name.find_first_of("([{", open)) {
    const auto close = name.find_first_of(")]}", open);
    const std::string inside = name.substr(open + 1, close == std::string::npos ? close : close - open - 1);
    const bool is_unit = find_log_unit(inside).has_value();
    if (is_unit) reading.unit = inside;
    const auto remark = remark_in(inside);
    if (!is_unit && !remark) reading.strange_unit = inside;
    const std::string kept = is_unit || !remark ? " " : *remark + " ";
    name.replace(open, close == std::string::npos ? close : close - open + 1, kept);
  }
}

// The last words may be the unit: "rail_pressure_MPa", "Engine speed 1/min", "Oil temp deg C".
void read_last_words(const std::string& name, HeaderReading& reading) {
  for (auto cut = name.find_last_of(unit_marks); cut != std::string::npos && cut != 0;
       cut = name.find_last_of(unit_marks, cut - 1)) {
    const ChannelKind kind = kind_of_words(name.substr(0, cut));
    const auto unit = find_log_unit(std::string_view(name).substr(cut + 1));
    if (!unit || !unit_fits(kind, unit->quantity)) continue;
    reading.kind = kind;
    reading.unit = name.substr(cut + 1);
    return;
  }
}

}  // namespace

HeaderReading read_header(std::string_view header) {
  HeaderReading reading;
  std::string name(header);
  read_brackets(name, reading);
  reading.kind = kind_of_words(name);
  if (reading.kind == ChannelKind::unknown && reading.unit.empty()) read_last_words(name, reading);
  if (reading.unit.empty() && name.find('%') != std::string::npos) reading.unit = "%";
  if (!reading.unit.empty()) reading.strange_unit.clear();
  if (reading.kind == ChannelKind::unknown) {
    reading.may_be_fuel = may_be_fuel(name);
    reading.owner = owner_of_time(name);
    if (reading.owner) reading.kind = ChannelKind::time;
  }
  // "ICP absolute (psi)": said in the name, not with the unit.
  const bool is_pressure = kind_quantity(reading.kind) == Quantity::pressure;
  if (is_pressure && says_absolute(name) && find_log_unit(reading.unit) && !find_log_unit(reading.unit)->absolute) {
    reading.unit += " abs";
  }
  return reading;
}

}  // namespace railseep
