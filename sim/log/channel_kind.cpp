#include "log/channel_kind.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <span>
#include <vector>

#include "log/log_unit.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

struct KindRow {
  ChannelKind kind;
  std::string_view name;
  Quantity quantity;
  std::string_view headers;  // plain words, separated by blanks; the first is shown in messages
};

// Header spellings met in the trade (common practice, no source); the codes 0c, 5c, 42 are the standard
// parameter numbers of SAE J1979-DA for engine speed, oil temperature and module voltage.
using enum ChannelKind;
constexpr std::array rows = {
    KindRow{rail_pressure, "rail_pressure", Quantity::pressure,
            "icp icpp icpact icpactual injectioncontrolpressure injectorcontrolpressure injectionpressure iap "
            "actuationpressure controloilpressure hpopressure hpop railpressure highpressureoil shownpressure"},
    KindRow{rail_pressure_volts, "rail_pressure_volts", Quantity::voltage,
            "icpv icpvolts icpvolt icpsensorvoltage icpvoltage railpressurevolts"},
    KindRow{desired_pressure, "desired_pressure", Quantity::pressure,
            "icpdes icpd desired commanded target setpoint icpcmd desiredpressure icpdesired wantedpressure"},
    KindRow{regulator_duty, "regulator_duty", Quantity::ratio,
            "ipr iprdc regulatorduty iprdutycycle iprduty regulator regulatordutycycle"},
    KindRow{regulator_current, "regulator_current", Quantity::current,
            "actuationcontrolcurrent regulatorcurrent iprcurrent coilcurrent"},
    KindRow{engine_speed, "engine_speed", Quantity::speed, "rpm enginespeed n 0c enginerpm"},
    KindRow{oil_temperature, "oil_temperature", Quantity::temperature,
            "eot oiltemp engineoiltemperature 5c oiltemperature engineoiltemp"},
    KindRow{coolant_temperature, "coolant_temperature", Quantity::temperature,
            "ect coolant coolanttemperature coolanttemp enginecoolanttemperature enginecoolanttemp"},
    KindRow{battery_voltage, "battery_voltage", Quantity::voltage,
            "vpwr bat b+ battery modulevoltage ecuvoltage 42 batteryvoltage controlmodulevoltage"},
    KindRow{injector_pulse, "injector_pulse", Quantity::time,
            "fuelpw pw ipw fuelpulsewidth injectorpulse injectorpulsewidth pulsewidth"},
    KindRow{driver_voltage, "driver_voltage", Quantity::voltage,
            "mainpower drivervoltage injectordriversupply injectordrivervoltage"},
    KindRow{sync, "sync", Quantity::ratio, "sync camcranksync"},
    KindRow{base_oil_pressure, "base_oil_pressure", Quantity::pressure,
            "eop oilpressure lubepressure baseoilpressure engineoilpressure"},
    KindRow{ChannelKind::time, "time", Quantity::time,
            "time t timestamp elapsedtime elapsed seconds sec clock datetime dateandtime timeofday date"},
    KindRow{sample_index, "sample_index", Quantity::ratio, "sample index frame record samplenumber sampleno row"},
    KindRow{ignored, "ignored", Quantity::ratio, ""},
    KindRow{unknown, "unknown", Quantity::ratio, ""},
};

std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words(1);
  for (const char c : text) {
    const std::string plain = plain_word({&c, 1});
    if (plain.empty()) {
      if (!words.back().empty()) words.emplace_back();
    } else {
      words.back() += plain;
    }
  }
  if (words.back().empty()) words.pop_back();
  return words;
}

ChannelKind spelled(std::string_view plain) {
  if (plain.empty()) return unknown;
  for (const KindRow& row : rows) {
    std::string_view rest = row.headers;
    while (!rest.empty()) {
      const std::string_view word = rest.substr(0, rest.find(' '));
      if (word == plain) return row.kind;
      rest.remove_prefix(std::min(rest.size(), word.size() + 1));
    }
  }
  return unknown;
}

bool one_of(const std::string& word, std::initializer_list<std::string_view> list) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

bool says_desired(const std::string& word) {
  return one_of(word, {"des", "desired", "cmd", "commanded", "command", "target", "setpoint"});
}

constexpr std::string_view unit_marks = " _,-./";  // what may stand before a unit at the end of a header

// The whole header, or what is left of it without the words that say which of a pair it is.
ChannelKind kind_of(std::string_view name) {
  const ChannelKind whole = spelled(plain_word(name));
  if (whole != unknown) return whole;
  bool is_desired = false, in_volts = false;
  std::string rest;
  for (const std::string& word : words_of(name)) {
    if (says_desired(word)) {
      is_desired = true;
    } else if (one_of(word, {"volts", "volt", "voltage"})) {
      in_volts = true;
    } else if (!one_of(word, {"act", "actual", "measured", "sensor"})) {
      rest += word;
    }
  }
  const ChannelKind kind = spelled(rest);
  if (kind == rail_pressure) return is_desired ? desired_pressure : in_volts ? rail_pressure_volts : rail_pressure;
  if (is_desired || (in_volts && kind_quantity(kind) != Quantity::voltage)) return unknown;
  return kind;
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

std::string plain_word(std::string_view header) {
  std::string plain;
  for (const char c : header) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x80 && (std::isalnum(byte) || c == '+')) plain += static_cast<char>(std::tolower(byte));
  }
  return plain;
}

HeaderReading read_header(std::string_view header) {
  HeaderReading reading;
  std::string name(header);

  // Brackets hold the unit or a remark: "ICP (psi)", "Time (HH:MM:SS)".
  const auto open = name.find_first_of("([");
  const auto close = open == std::string::npos ? open : name.find_first_of(")]", open);
  if (close != std::string::npos) {
    const std::string inside = name.substr(open + 1, close - open - 1);
    const bool is_unit = find_log_unit(inside).has_value();
    if (is_unit) reading.unit = inside;
    const std::vector<std::string> words = words_of(inside);
    if (is_unit || std::none_of(words.begin(), words.end(), says_desired)) name.erase(open, close - open + 1);
  }
  reading.kind = kind_of(name);

  // The last words may be the unit: "rail_pressure_MPa", "Engine speed 1/min", "Oil temp deg C".
  for (auto cut = name.find_last_of(unit_marks); reading.kind == unknown && reading.unit.empty();
       cut = name.find_last_of(unit_marks, cut - 1)) {
    if (cut == std::string::npos || cut == 0) break;
    const auto unit = find_log_unit(std::string_view(name).substr(cut + 1));
    if (!unit || !unit_fits(kind_of(name.substr(0, cut)), unit->quantity)) continue;
    reading.kind = kind_of(name.substr(0, cut));
    reading.unit = name.substr(cut + 1);
  }
  if (reading.unit.empty() && name.find('%') != std::string::npos) reading.unit = "%";
  const std::string plain = plain_word(name);
  reading.may_be_fuel = reading.kind == unknown && plain.find("fuel") != std::string::npos &&
                        (plain.find("pressure") != std::string::npos || plain.find("rail") != std::string::npos);
  return reading;
}

std::string known_headers() {
  std::string list;
  for (const KindRow& row : rows) {
    if (row.headers.empty() || row.kind == sample_index) continue;
    list += (list.empty() ? "\"" : ", \"") + std::string(row.headers.substr(0, row.headers.find(' '))) + "\" (" +
            std::string(row.name) + ")";
  }
  return list;
}

}  // namespace railseep
