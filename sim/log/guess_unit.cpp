#include "log/guess_unit.hpp"

#include <algorithm>

namespace railseep {
namespace {

std::string shown(double number) { return format_quantity(number, Quantity::ratio, ""); }

struct Range {
  double least = 0, most = 0;
};

// From 20 samples on the uppermost 2 % do not count: a single wild value must not choose the unit.
Range range_of(std::vector<double> numbers) {
  if (numbers.empty()) return {};
  std::sort(numbers.begin(), numbers.end());
  const std::size_t wild = numbers.size() < 20 ? 0 : std::max<std::size_t>(1, numbers.size() / 50);
  return {numbers.front(), numbers[numbers.size() - 1 - wild]};
}

UnitGuess by_size(const Range& range, const std::string& unit, bool certain = true) {
  return {unit, "largest " + shown(range.most) + ", so " + unit, certain};
}

// Rail pressures: up to 28 MPa = 276 bar = 4000 psi = 28000 kPa. Common practice, no source.
UnitGuess rail_unit(const Range& range) {
  if (range.most <= 0) return {"psi", "never above 0, psi assumed", true};
  if (range.most <= 5.1 && range.least >= 0.1 && range.least <= 0.4) {
    return {"V", "rests at " + shown(range.least) + ", largest " + shown(range.most) + ", so V of the sensor", true};
  }
  if (range.most <= 30) {
    const bool rest_seen = range.least < 0.05;
    return {"MPa", "largest " + shown(range.most) + ", so MPa" + (rest_seen ? "" : " (could be V or bar)"),
            rest_seen && range.most >= 3};
  }
  if (range.most < 300) return by_size(range, "bar", false);  // or a psi log of an engine that never built pressure
  if (range.most <= 4500) return by_size(range, "psi");
  return by_size(range, "kPa");
}

// Lubricating pressures: 0.1 to 0.8 MPa = 1 to 8 bar = 15 to 120 psi = 100 to 800 kPa. Common practice, no source.
UnitGuess base_unit(const Range& range) {
  if (range.most <= 1) return by_size(range, "MPa", false);
  if (range.most <= 12) return by_size(range, "bar", false);
  if (range.most <= 130) return by_size(range, "psi", range.most > 20);
  return by_size(range, "kPa");
}

UnitGuess temperature_unit(const Range& range) {
  if (range.most > 250) return by_size(range, "K");
  if (range.most > 130) return by_size(range, "degF");
  if (range.least > 45) return {"degC", "between 45 and 130: degC assumed, could be degF", false};
  return by_size(range, "degC");
}

}  // namespace

UnitGuess guess_unit(ChannelKind kind, const std::vector<double>& written) {
  const Range range = range_of(written);
  switch (kind) {
    case ChannelKind::rail_pressure:
      return rail_unit(range);
    case ChannelKind::desired_pressure: {
      const UnitGuess guess = rail_unit(range);  // a desired pressure is computed, never a sensor's voltage
      return guess.unit == "V" ? UnitGuess{"MPa", "largest " + shown(range.most) + ", so MPa", false} : guess;
    }
    case ChannelKind::base_oil_pressure:
      return base_unit(range);
    case ChannelKind::rail_pressure_volts:
      return by_size(range, range.most > 6 ? "mV" : "V");
    case ChannelKind::battery_voltage:
    case ChannelKind::driver_voltage:
      return by_size(range, range.most > 200 ? "mV" : "V");
    case ChannelKind::regulator_duty:
      return range.most <= 1 ? UnitGuess{"x", "largest " + shown(range.most) + ", so a fraction", true}
                             : by_size(range, "%");
    case ChannelKind::regulator_current:
      return by_size(range, range.most > 10 ? "mA" : "A");
    case ChannelKind::oil_temperature:
    case ChannelKind::coolant_temperature:
      return temperature_unit(range);
    case ChannelKind::injector_pulse:  // 0.5 to 5 ms
      return by_size(range, range.most > 50 ? "us" : "ms");
    case ChannelKind::engine_speed:
      return {"rpm", "speeds are in rpm", true};
    default:
      return {"x", "a plain number", true};
  }
}

UnitGuess guess_time_unit(double usual_step) {
  const std::string unit = usual_step >= 5000 ? "us" : usual_step >= 5 ? "ms" : "s";
  const bool certain = usual_step < 3 || usual_step >= 15;
  return {unit, "steps of " + shown(usual_step) + ", so " + unit, certain};
}

}  // namespace railseep
