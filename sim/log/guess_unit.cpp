#include "log/guess_unit.hpp"

#include <algorithm>
#include <cmath>

#include "log/log_unit.hpp"

namespace railseep {
namespace {

constexpr double highest_rail = 32e6;    // gauge [Pa]
constexpr double usual_enable = 3.5e6;   // below it nothing is injected, where the circuit does not say [Pa]
constexpr double held_running = 0.7;     // share of it that a running engine holds at least
constexpr double far_from_volts = 1.6;   // times off what the sensor's volts say
constexpr double most_sense = 1e9;       // no tool writes a larger number on purpose
constexpr std::size_t enough_whole = 5;  // numbers, before "all whole" says something
constexpr double finest_pressure = 50;   // [Pa]; no sensor of a rail resolves less, so no tool writes less

std::string shown(double number) { return format_quantity(number, Quantity::ratio, ""); }

double factor_of(const std::string& unit) { return find_log_unit(unit)->factor; }

std::string list_of(const std::vector<std::string>& words) {
  std::string list;
  for (std::size_t i = 0; i < words.size(); ++i)
    list += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + words[i];
  return list;
}

bool rail_unit_fits(ChannelKind kind, const std::string& unit, const NumberFacts& facts, const BesidePressure& beside) {
  const double factor = factor_of(unit), most = facts.most * factor,
               enable = beside.engine.enable_pressure.value_or(usual_enable);
  const bool desired = kind == ChannelKind::desired_pressure;
  if (most > highest_rail) return false;
  if (unit == "MPa" && facts.whole && facts.count >= enough_whole) return false;
  if (desired) return most >= 0.98 * enable;
  if (beside.engine_runs && most < held_running * enable) return false;
  if (beside.other && beside.other->most > 0) {
    const double wanted = beside.other->most * factor;
    if (wanted > highest_rail || wanted < 0.98 * enable) return false;
  }
  if (beside.highest_by_volts && std::fmax(most, *beside.highest_by_volts) > 3e5) {
    const double times = most / std::fmax(*beside.highest_by_volts, 1.0);
    if (times > far_from_volts || times < 1 / far_from_volts) return false;
  }
  return true;
}

// A "pressure" that rests where the sensor does and stays within its 5 V may be the sensor's voltage.
bool may_be_volts(const NumberFacts& facts) { return facts.most <= 5.1 && facts.least >= 0.1 && facts.least <= 0.6; }

// Which unit such numbers most often have in logs (common practice, no source).
std::string usual_unit(const NumberFacts& facts) {
  if (may_be_volts(facts)) return "V";
  return facts.most <= 30 ? "MPa" : facts.most < 300 ? "bar" : facts.most <= 4500 ? "psi" : "kPa";
}

UnitGuess only_one(const std::string& unit, const NumberFacts& facts, const BesidePressure& beside) {
  std::string why = "no unit is written; " + shown(facts.most) + " fits no other unit";
  if (beside.other || beside.other_unit || beside.highest_by_volts) why += " beside the other columns";
  return {unit, why, false};
}

}  // namespace

NumberFacts facts_of(const std::vector<double>& written, double factor) {
  std::vector<double> numbers;
  for (const double number : written) {
    if (std::fabs(number) < most_sense) numbers.push_back(number * factor);
  }
  NumberFacts facts;
  facts.count = numbers.size();
  if (numbers.empty()) return facts;
  std::sort(numbers.begin(), numbers.end());
  const std::size_t wild = numbers.size() < 20 ? 0 : std::max<std::size_t>(1, numbers.size() / 50);
  facts.least = numbers.front();
  facts.most = numbers[numbers.size() - 1 - wild];
  facts.whole = std::ranges::all_of(numbers, [](double number) { return number == std::floor(number); });
  const double rounding = 1e-9 * std::fmax(std::fabs(numbers.front()), std::fabs(numbers.back()));
  for (std::size_t i = 1; i < numbers.size(); ++i) {
    const double step = numbers[i] - numbers[i - 1];
    if (step > rounding && (facts.step == 0 || step < facts.step)) facts.step = step;
  }
  return facts;
}

UnitGuess guess_rail_unit(ChannelKind kind, const NumberFacts& facts, const BesidePressure& beside) {
  if (facts.most <= 0) return {"psi", "never above 0, so the unit does not matter", true};
  const bool desired = kind == ChannelKind::desired_pressure;
  std::vector<std::string> fit;
  for (const std::string unit : {"psi", "kPa", "bar", "MPa"}) {
    if (rail_unit_fits(kind, unit, facts, beside)) fit.push_back(unit);
  }
  // Digits finer than any sensor tell against a unit, unless all units would be too fine: computed numbers have many
  // digits.
  std::vector<std::string> coarse = fit;
  std::erase_if(coarse, [&](const std::string& unit) {
    return facts.step > 0 && facts.step * factor_of(unit) < finest_pressure;
  });
  if (!coarse.empty()) fit = coarse;

  if (!desired && may_be_volts(facts)) {
    const auto zero = beside.engine.sensor_zero;
    if (zero && std::fabs(facts.least - *zero) < 0.08) {
      return {"V", "rests at " + shown(facts.least) + " as the sensor does, largest " + shown(facts.most), false};
    }
    fit.insert(fit.begin(), "V");
  }
  if (beside.other_unit && std::ranges::find(fit, *beside.other_unit) != fit.end()) {
    return {
        *beside.other_unit,
        "no unit is written; the same as the " + std::string(desired ? "actual" : "desired") + " pressure beside it",
        false};
  }
  if (fit.size() == 1) return only_one(fit.front(), facts, beside);
  const bool none = fit.empty();
  if (none) fit = {"psi", "kPa", "bar", "MPa"};
  // Until it is told, the unit that such numbers most often have is shown.
  const std::string usual = usual_unit(facts);
  return {std::ranges::find(fit, usual) != fit.end() ? usual : fit.front(),
          none ? "no unit is written, and " + shown(facts.most) + " is odd in each"
               : "no unit is written; " + shown(facts.most) + " may be " + list_of(fit),
          false, fit};
}

UnitGuess guess_temperature_unit(const std::vector<NumberFacts>& all) {
  struct Span {
    const char* unit;
    double least, most;
  };
  // Of oil and coolant from a frost of -50 degC to 160 degC. Sensors that are not there show -40, alike in degC and
  // degF.
  constexpr Span spans[] = {{"degC", -50, 160}, {"degF", -58, 320}, {"K", 223, 433}};
  std::vector<std::string> fit;
  double most = -1e300;
  for (const NumberFacts& facts : all) most = std::fmax(most, facts.most);
  for (const Span& span : spans) {
    const bool fits = std::ranges::all_of(all, [&](const NumberFacts& facts) {
      const bool shows_default = facts.least == -40 && span.least > -40;
      return facts.most <= span.most && (facts.least >= span.least || shows_default);
    });
    if (fits) fit.emplace_back(span.unit);
  }
  if (fit.size() == 1) return {fit.front(), "no unit is written; " + shown(most) + " fits no other unit", false};
  if (fit.empty()) fit = {"degC", "degF", "K"};
  return {fit.front(), "no unit is written; " + shown(most) + " may be " + list_of(fit), false, fit};
}

UnitGuess guess_unit(ChannelKind kind, const NumberFacts& facts) {
  const auto by_size = [&](const std::string& unit, bool certain = true) {
    return UnitGuess{unit, "largest " + shown(facts.most) + ", so " + unit, certain};
  };
  switch (kind) {
    case ChannelKind::base_oil_pressure:  // 0.1 to 0.8 MPa = 1 to 8 bar = 15 to 120 psi = 100 to 800 kPa; the match
                                          // does not use it
      return by_size(facts.most <= 1 ? "MPa" : facts.most <= 12 ? "bar" : facts.most <= 130 ? "psi" : "kPa", false);
    case ChannelKind::rail_pressure_volts:
      return by_size(facts.most > 6 ? "mV" : "V");
    case ChannelKind::battery_voltage:
    case ChannelKind::driver_voltage:
      return by_size(facts.most > 200 ? "mV" : "V");
    case ChannelKind::regulator_duty:
      if (facts.most > 1.5) return by_size("%");
      if (facts.most <= 0) return {"%", "never above 0, so the unit does not matter", true};
      if (facts.whole || facts.most > 1)
        return {"%", "no unit is written; largest " + shown(facts.most) + " may be % or a fraction", false, {"%", "x"}};
      return {"x", "largest " + shown(facts.most) + ", so a fraction", false};
    case ChannelKind::regulator_current:
      return by_size(facts.most > 10 ? "mA" : "A");
    case ChannelKind::injector_pulse:  // 0.5 to 5 ms
      return by_size(facts.most > 50 ? "us" : "ms", false);
    case ChannelKind::engine_speed:  // a starter turns an engine at 80 to 300 rpm = 1.3 to 5 rev/s = 8 to 31 rad/s
      if (facts.most >= 45 || facts.most <= 0.2) return {"rpm", "speeds are in rpm", true};
      return {"rpm",
              "no unit is written; " + shown(facts.most) + " may be rpm, rev/s or rad/s",
              false,
              {"rpm", "rev/s", "rad/s"}};
    default:
      return {"x", "a plain number", true};
  }
}

UnitGuess guess_time_unit(double usual_step, double span, double first, std::size_t count) {
  constexpr double shortest_step = 4e-4, longest_step = 15, shortest_log = 0.8, longest_log = 3600;  // [s]
  constexpr std::size_t few = 5;  // times that may be part of anything
  if (first > 20000 && first < 80000 && span < 0.1 && span > 0 && usual_step < 1e-3) {
    return {"days",
            "steps of " + shown(usual_step) + " from " + shown(first) + " on, so days as spreadsheets count them",
            false};
  }
  std::vector<std::string> fit, likely;
  for (const std::string unit : {"s", "ms", "us", "min"}) {
    const double factor = factor_of(unit), step = usual_step * factor, lasts = span * factor;
    const bool step_fits = step >= (count < few ? 0.02 : shortest_step) && step <= longest_step;
    if (step_fits && (count < few || (lasts >= shortest_log && lasts <= longest_log))) fit.push_back(unit);
  }
  if (fit.empty()) {
    return {"s",
            "no unit is written; steps of " + shown(usual_step) + " and a length of " + shown(span) + " fit none",
            false,
            {"s", "ms", "us", "min"}};
  }
  // Tools that name no unit mean seconds where steps and length fit seconds well: 10 ms to 3 s between samples, 2 s to
  // 20 min in all.
  const bool plain_seconds = usual_step >= 0.009 && usual_step <= 3.01 && (count < few || (span >= 2 && span <= 1200));
  if (fit.front() == "s" && (fit.size() == 1 || plain_seconds))
    return {"s", "steps of " + shown(usual_step) + ", so s", plain_seconds};
  if (fit.size() == 1)
    return {fit.front(), "steps of " + shown(usual_step) + ", so " + fit.front(), fit.front() == "ms"};
  return {fit.front(), "no unit is written; steps of " + shown(usual_step) + " may be " + list_of(fit), false, fit};
}

}  // namespace railseep
