#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "channel/trace.hpp"
#include "circuit/elements/regulator.hpp"

namespace railseep {

/// Temperature a winding's insulation is made for. Source: IEC 60085:2007 (from memory).
struct InsulationClass {
  std::string_view name;
  double limit;  // [K]
};
std::span<const InsulationClass> insulation_classes();
const InsulationClass& find_insulation_class(std::string_view name);  // @throws Error naming the classes

/// The coil as a lump of copper that warms: C*dT/dt = I^2*R(T) - (T - Ta)/Rth,   I = duty*V/(R(T) + R_lead).
/// Source: copper IEC 60028; thermal resistance and capacity assumed (none was found); the ripple of a pulsed current
/// is left out.
struct CoilWinding {
  double resistance = 8;                    // R at 20 degC [ohm]
  double lead_resistance = 0.1;             // R_lead [ohm]: assumed
  double thermal_resistance = 8;            // Rth [K/W]: assumed
  double heat_capacity = 20;                // C [J/K]: assumed
  std::string_view insulation = "155 (F)";  // assumed

  double resistance_at(double temperature) const { return resistance * (1.0 + 0.00393 * (temperature - 293.15)); }
  double current(double voltage, double temperature) const {
    return voltage / (resistance_at(temperature) + lead_resistance);
  }
};
CoilWinding coil_of(const Regulator& regulator);

/// How it is energised. Pulses: 5 s on, 30 s off unless the maker says otherwise (assumed).
struct CoilSchedule {
  double voltage = 12.6;    // battery at rest [V]
  double duty = 1;          // 1: straight from a battery; a tool pulses
  double ambient = 293.15;  // air and metal around it, and the coil at first [K]
  double on = 5, off = 30;  // [s]
  int pulses = 3;
};

inline constexpr double longest_coil_time =
    10;  // [s] at one go, whatever the temperature: a maker's procedure for a similar solenoid
inline constexpr double tool_duty = 0.5;  // mean duty of a tool's output test: assumed

struct CoilResult {
  Trace trace;                  // coil temperature, resistance, current
  double hottest = 0;           // [K]
  double insulation_limit = 0;  // [K]
  bool too_hot = false;         // the limit is passed, or a pulse is longer than longest_coil_time
};

/// @throws Error for a schedule out of range
CoilResult coil_test(const CoilWinding& coil, const CoilSchedule& schedule);

/// Were it left on: [s] until the insulation's limit, by the same steps; empty: not within an hour.
std::optional<double> time_to_limit(const CoilWinding& coil, const CoilSchedule& schedule);

inline constexpr std::string_view winding_resistance = "coil resistance";

}  // namespace railseep
