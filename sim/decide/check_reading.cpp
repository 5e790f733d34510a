#include "decide/check_reading.hpp"

#include <algorithm>

#include "procedure/isolate.hpp"

namespace railseep {

namespace {

struct Row {
  std::string_view check;
  CheckReading reading;
};

constexpr Row rows[] = {
    {"sensor volts", {ChannelKind::rail_pressure_volts, Situation::Done::key_on, false}},
    {"base oil gauge", {ChannelKind::base_oil_pressure}},
    {"hot crank", {ChannelKind::rail_pressure}},
    {"read again", {ChannelKind::rail_pressure}},
    {"charged batteries", {ChannelKind::rail_pressure}},
    {"isolation", {ChannelKind::rail_pressure, Situation::Done::crank, true, both_rails}},
    {"one rail", {ChannelKind::rail_pressure}},
};

}  // namespace

double CheckReading::deviation(const Check& check, double computed, const Circuit& circuit) const {
  Reading reading;
  reading.kind = kind;
  reading.situation.done = done;
  reading.situation.block = block;
  reading.tolerance = tolerance(check, computed);
  return reading_deviation(reading, computed, circuit);
}

std::optional<CheckReading> reading_of_check(std::string_view id) {
  const std::string_view first = id.substr(0, id.find(": "));  // "one rail: left rail" is one of several
  const auto found = std::ranges::find(rows, first, &Row::check);
  if (found == std::end(rows)) return std::nullopt;
  return found->reading;
}

}  // namespace railseep
