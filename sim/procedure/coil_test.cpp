#include "procedure/coil_test.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr InsulationClass classes[] = {{"105 (A)", 378.15}, {"120 (E)", 393.15}, {"130 (B)", 403.15},
                                       {"155 (F)", 428.15}, {"180 (H)", 453.15}, {"200", 473.15},
                                       {"220", 493.15}};

double warming(const CoilWinding& coil, double voltage, double ambient, double temperature) {
  const double current = coil.current(voltage, temperature);
  return (current * current * coil.resistance_at(temperature) - (temperature - ambient) / coil.thermal_resistance) /
         coil.heat_capacity;
}

/// One step of the classical fourth-order method: nothing here is stiff.
double warmed(const CoilWinding& coil, double voltage, double ambient, double t, double step) {
  const double a = warming(coil, voltage, ambient, t), b = warming(coil, voltage, ambient, t + 0.5 * step * a);
  const double c = warming(coil, voltage, ambient, t + 0.5 * step * b),
               d = warming(coil, voltage, ambient, t + step * c);
  return t + step / 6 * (a + 2 * b + 2 * c + d);
}

void refuse(bool bad, const char* place, const char* found, const char* expected) {
  if (bad) throw Error(place, found, expected);
}

}  // namespace

std::span<const InsulationClass> insulation_classes() { return classes; }

const InsulationClass& find_insulation_class(std::string_view name) {
  std::string listed;
  for (const InsulationClass& c : classes) {
    if (c.name == name) return c;
    listed += (listed.empty() ? "\"" : ", \"") + std::string(c.name) + "\"";
  }
  throw Error("", "there is no insulation class \"" + std::string(name) + "\"", "write one of " + listed);
}

CoilWinding coil_of(const Regulator& regulator) {
  CoilWinding coil;
  coil.resistance = regulator.resistance;
  return coil;
}

CoilResult coil_test(const CoilWinding& coil, const CoilSchedule& schedule) {
  refuse(!(schedule.voltage >= 0 && schedule.voltage <= 36), "coil test", "the voltage is out of range",
         "write 0 V to 36 V");
  refuse(!(schedule.duty >= 0 && schedule.duty <= 1), "coil test", "the duty is out of range", "write 0 % to 100 %");
  refuse(!(schedule.on > 0 && schedule.on <= 3600 && schedule.off >= 0 && schedule.off <= 3600), "coil test",
         "the pulses are out of range", "write up to 1 h on and off");
  refuse(!(schedule.pulses >= 1 && schedule.pulses <= 100), "coil test", "the number of pulses is out of range",
         "write 1 to 100");
  CoilResult result;
  result.insulation_limit = find_insulation_class(coil.insulation).limit;
  Trace& trace = result.trace;
  trace.channels = {{std::string(signal::coil_temperature), Quantity::temperature, {}},
                    {std::string(winding_resistance), Quantity::resistance, {}},
                    {std::string(signal::coil_current), Quantity::current, {}}};
  const double period = schedule.on + schedule.off;
  double temperature = schedule.ambient, t = 0;
  const auto record = [&](double voltage) {
    trace.time.push_back(t);
    trace.channels[0].value.push_back(temperature);
    trace.channels[1].value.push_back(coil.resistance_at(temperature));
    trace.channels[2].value.push_back(coil.current(voltage, temperature));
    result.hottest = std::max(result.hottest, temperature);
  };
  for (int pulse = 0; pulse < schedule.pulses; ++pulse)
    for (const bool on : {true, false}) {
      const double begins = pulse * period + (on ? 0 : schedule.on), lasts = on ? schedule.on : schedule.off;
      const double voltage = on ? schedule.duty * schedule.voltage : 0;
      const int steps = std::max(1, static_cast<int>(std::ceil(lasts / 0.1)));
      if (lasts <= 0) continue;
      record(voltage);
      for (int i = 1; i <= steps; ++i) {
        temperature = warmed(coil, voltage, schedule.ambient, temperature, lasts / steps);
        t = begins + lasts * i / steps;
        record(voltage);
      }
    }
  result.too_hot = result.hottest > result.insulation_limit || (schedule.duty > 0 && schedule.on > longest_coil_time);
  return result;
}

std::optional<double> time_to_limit(const CoilWinding& coil, const CoilSchedule& schedule) {
  const double limit = find_insulation_class(coil.insulation).limit;
  double temperature = schedule.ambient;
  constexpr double step = 0.1, for_ever = 3600;  // [s]
  for (int i = 0; i * step < for_ever; ++i) {
    if (temperature >= limit) return i * step;
    temperature = warmed(coil, schedule.duty * schedule.voltage, schedule.ambient, temperature, step);
  }
  return std::nullopt;
}

}  // namespace railseep
