#include "log/channel_kind.hpp"

#include <array>
#include <vector>

#include "log/header_words.hpp"
#include "log/log_unit.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

struct KindRow {
  ChannelKind kind;
  std::string_view name;
  Quantity quantity;
  std::string_view header;  // an example, for messages
};

using enum ChannelKind;
constexpr std::array rows = {
    KindRow{rail_pressure, "rail_pressure", Quantity::pressure, "icp"},
    KindRow{rail_pressure_volts, "rail_pressure_volts", Quantity::voltage, "icp volts"},
    KindRow{desired_pressure, "desired_pressure", Quantity::pressure, "icp desired"},
    KindRow{regulator_duty, "regulator_duty", Quantity::ratio, "ipr duty"},
    KindRow{regulator_current, "regulator_current", Quantity::current, "regulator current"},
    KindRow{engine_speed, "engine_speed", Quantity::speed, "rpm"},
    KindRow{oil_temperature, "oil_temperature", Quantity::temperature, "oil temp"},
    KindRow{coolant_temperature, "coolant_temperature", Quantity::temperature, "coolant temp"},
    KindRow{battery_voltage, "battery_voltage", Quantity::voltage, "battery"},
    KindRow{injector_pulse, "injector_pulse", Quantity::time, "pulse width"},
    KindRow{driver_voltage, "driver_voltage", Quantity::voltage, "main power"},
    KindRow{sync, "sync", Quantity::ratio, "sync"},
    KindRow{base_oil_pressure, "base_oil_pressure", Quantity::pressure, "oil pressure"},
    KindRow{ChannelKind::time, "time", Quantity::time, "time"},
    KindRow{sample_index, "sample_index", Quantity::ratio, "sample"},
    KindRow{ignored, "ignored", Quantity::ratio, ""},
    KindRow{unknown, "unknown", Quantity::ratio, ""},
};

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

std::string_view kind_name(ChannelKind kind) { return rows[static_cast<std::size_t>(kind)].name; }

Quantity kind_quantity(ChannelKind kind) { return rows[static_cast<std::size_t>(kind)].quantity; }

ChannelKind parse_channel_kind(std::string_view name) {
  std::vector<std::string> known;
  for (const KindRow& row : rows) {
    if (row.name == name) return row.kind;
    known.emplace_back(row.name);
  }
  const std::string nearest = nearest_word(name, known);
  std::string list;
  for (const std::string& word : known) list += (list.empty() ? "" : ", ") + word;
  throw Error("", "\"" + std::string(name) + "\" is no kind of channel",
              (nearest.empty() ? "" : "did you mean \"" + nearest + "\"? ") + "kinds: " + list);
}

bool unit_fits(ChannelKind kind, Quantity quantity) {
  if (kind == unknown || kind == ignored) return false;
  if (kind == rail_pressure && quantity == Quantity::voltage) return true;
  if (kind == regulator_duty && quantity == Quantity::current) return true;
  return kind_quantity(kind) == quantity;
}

HeaderReading read_header(std::string_view header) {
  HeaderReading reading;
  std::string name(header);
  read_brackets(name, reading);
  reading.kind = kind_of_words(name);
  if (reading.kind == unknown && reading.unit.empty()) read_last_words(name, reading);
  if (reading.unit.empty() && name.find('%') != std::string::npos) reading.unit = "%";
  if (!reading.unit.empty()) reading.strange_unit.clear();
  if (reading.kind == unknown) {
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

std::string known_headers() {
  std::string list;
  for (const KindRow& row : rows) {
    if (row.header.empty() || row.kind == sample_index) continue;
    list += (list.empty() ? "\"" : ", \"") + std::string(row.header) + "\" (" + std::string(row.name) + ")";
  }
  return list;
}

}  // namespace railseep
