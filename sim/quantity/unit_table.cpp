#include <array>
#include <numbers>

#include "quantity/quantity.hpp"
#include "quantity/unit_spellings.hpp"

namespace railseep {
namespace {

using enum Quantity;

// Exact by definition: international yard and pound agreement (1959); standard gravity 3rd CGPM (1901);
// US gallon 231 in3; standard atmosphere 101325 Pa. Listed in NIST SP 811 (2008), App. B.
constexpr long double inch = 0.0254L;                              // [m]
constexpr long double foot = 12 * inch;                            // [m]
constexpr long double pound = 0.45359237L;                         // [kg]
constexpr long double pound_force = pound * 9.80665L;              // [N]
constexpr long double inch3 = inch * inch * inch;                  // [m3]
constexpr long double us_gallon = 231 * inch3;                     // [m3]
constexpr long double minute = 60;                                 // [s]
constexpr long double turn = 2 * std::numbers::pi_v<long double>;  // [rad]

constexpr Unit unit_rows[] = {
    {"Pa", pressure, 1},
    {"kPa", pressure, 1e3L},
    {"MPa", pressure, 1e6L},
    {"GPa", pressure, 1e9L},
    {"bar", pressure, 1e5L},
    {"mbar", pressure, 1e2L},
    {"psi", pressure, pound_force / (inch * inch)},
    {"atm", pressure, 101325},
    {"m", length, 1},
    {"cm", length, 1e-2L},
    {"mm", length, 1e-3L},
    {"um", length, 1e-6L},
    {"in", length, inch},
    {"m2", area, 1},
    {"cm2", area, 1e-4L},
    {"mm2", area, 1e-6L},
    {"in2", area, inch* inch},
    {"m3", volume, 1},
    {"L", volume, 1e-3L},
    {"mL", volume, 1e-6L},
    {"cm3", volume, 1e-6L},
    {"mm3", volume, 1e-9L},
    {"in3", volume, inch3},
    {"m3/rad", displacement, 1},
    {"cm3/rev", displacement, 1e-6L / turn},
    {"mL/rev", displacement, 1e-6L / turn},
    {"in3/rev", displacement, inch3 / turn},
    {"m3/s", volume_flow, 1},
    {"L/min", volume_flow, 1e-3L / minute},
    {"cm3/s", volume_flow, 1e-6L},
    {"mm3/s", volume_flow, 1e-9L},
    {"gpm", volume_flow, us_gallon / minute},
    {"cfm", volume_flow, foot* foot* foot / minute},
    {"kg/s", mass_flow, 1},
    {"g/s", mass_flow, 1e-3L},
    {"K", temperature, 1},
    {"degC", temperature, 1, 273.15L},
    {"degF", temperature, 5.0L / 9, 459.67L * 5 / 9},
    {"rad/s", speed, 1},
    {"rpm", speed, turn / minute},
    {"rev/s", speed, turn},
    {"rad", angle, 1},
    {"deg", angle, turn / 360},
    {"s", time, 1},
    {"ms", time, 1e-3L},
    {"us", time, 1e-6L},
    {"min", time, minute},
    {"h", time, 60 * minute},
    {"", ratio, 1},
    {"%", ratio, 1e-2L},
    {"x", ratio, 1},
    {"V", voltage, 1},
    {"mV", voltage, 1e-3L},
    {"A", current, 1},
    {"mA", current, 1e-3L},
    {"ohm", resistance, 1},
    {"mohm", resistance, 1e-3L},
    {"kohm", resistance, 1e3L},
    {"H", inductance, 1},
    {"mH", inductance, 1e-3L},
    {"m2/s", kinematic_viscosity, 1},
    {"mm2/s", kinematic_viscosity, 1e-6L},
    {"cSt", kinematic_viscosity, 1e-6L},
    {"Pa.s", dynamic_viscosity, 1},
    {"mPa.s", dynamic_viscosity, 1e-3L},
    {"cP", dynamic_viscosity, 1e-3L},
    {"N.m", torque, 1},
    {"ft.lbf", torque, foot* pound_force},
    {"in.lbf", torque, inch* pound_force},
    {"kg", mass, 1},
    {"g", mass, 1e-3L},
    {"mg", mass, 1e-6L},
    {"lb", mass, pound},
    {"kg/m3", density, 1},
    {"g/cm3", density, 1e3L},
    {"dB", level, 1},
};

// Other spellings of a unit's symbol.
constexpr UnitSpelling spellings[] = {
    {"C", "degC"},      {"°C", "degC"},     {"F", "degF"},        {"°F", "degF"},        {"µm", "um"},
    {"μm", "um"},       {"µs", "us"},       {"μs", "us"},         {"cc", "cm3"},         {"l", "L"},
    {"ml", "mL"},       {"l/min", "L/min"}, {"ml/rev", "mL/rev"}, {"cc/rev", "cm3/rev"}, {"Nm", "N.m"},
    {"N·m", "N.m"},     {"1/min", "rpm"},   {"°", "deg"},         {"Ω", "ohm"},          {"mm²", "mm2"},
    {"mm²/s", "mm2/s"},
};

constexpr std::array quantity_rows = {
    QuantityInfo{pressure, "pressure", "Pa", "3.5 MPa"},
    QuantityInfo{length, "length", "m", "0.8 mm"},
    QuantityInfo{area, "area", "m2", "0.5 mm2"},
    QuantityInfo{volume, "volume", "m3", "0.4 L"},
    QuantityInfo{displacement, "displacement", "m3/rad", "7.2 cm3/rev"},
    QuantityInfo{volume_flow, "volume flow", "m3/s", "6 L/min"},
    QuantityInfo{mass_flow, "mass flow", "kg/s", "12 g/s"},
    QuantityInfo{temperature, "temperature", "K", "90 degC"},
    QuantityInfo{speed, "speed", "rad/s", "150 rpm"},
    QuantityInfo{angle, "angle", "rad", "30 deg"},
    QuantityInfo{time, "time", "s", "6 s"},
    QuantityInfo{ratio, "ratio", "", "65 %"},
    QuantityInfo{voltage, "voltage", "V", "11.5 V"},
    QuantityInfo{current, "current", "A", "0.6 A"},
    QuantityInfo{resistance, "resistance", "ohm", "7.5 ohm"},
    QuantityInfo{inductance, "inductance", "H", "20 mH"},
    QuantityInfo{kinematic_viscosity, "kinematic viscosity", "m2/s", "14 mm2/s"},
    QuantityInfo{dynamic_viscosity, "dynamic viscosity", "Pa.s", "12 mPa.s"},
    QuantityInfo{torque, "torque", "N.m", "9 N.m"},
    QuantityInfo{mass, "mass", "kg", "2 kg"},
    QuantityInfo{density, "density", "kg/m3", "860 kg/m3"},
    QuantityInfo{level, "sound level", "dB", "55 dB"},
};

}  // namespace

const QuantityInfo& info(Quantity quantity) { return quantity_rows[static_cast<std::size_t>(quantity)]; }

std::span<const Unit> units() { return unit_rows; }

std::span<const UnitSpelling> unit_spellings() { return spellings; }

}  // namespace railseep
