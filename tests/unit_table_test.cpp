// Every unit and every spelling that is read, against published factors. A unit or a spelling without a row here fails.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "log/log_unit.hpp"
#include "quantity/quantity.hpp"
#include "quantity/unit_spellings.hpp"

namespace railseep {
namespace {

using enum Quantity;

/// Symbol, what it measures, and the SI value of 1 and (for temperatures) of 0 of it.
struct Row {
  const char* symbol;
  Quantity quantity;
  double one;
  double zero = 0;
};

// NIST SP 811 (2008), App. B.8 and B.9, with the longer digits that follow exactly from inch = 0.0254 m, lb =
// 0.45359237 kg, gn = 9.80665 m/s2 and US gallon = 231 in3. A turn is 6.283185307179586 rad, a degree
// 0.017453292519943295 rad.
const std::vector<Row> rows = {
    {"Pa", pressure, 1},
    {"kPa", pressure, 1000},
    {"MPa", pressure, 1000000},
    {"GPa", pressure, 1000000000},
    {"bar", pressure, 100000},
    {"mbar", pressure, 100},
    {"psi", pressure, 6894.757293168361},
    {"atm", pressure, 101325},
    {"m", length, 1},
    {"cm", length, 0.01},
    {"mm", length, 0.001},
    {"um", length, 0.000001},
    {"in", length, 0.0254},
    {"m2", area, 1},
    {"cm2", area, 0.0001},
    {"mm2", area, 0.000001},
    {"in2", area, 0.00064516},
    {"m3", volume, 1},
    {"L", volume, 0.001},
    {"mL", volume, 0.000001},
    {"cm3", volume, 0.000001},
    {"mm3", volume, 0.000000001},
    {"in3", volume, 1.6387064e-5},
    {"m3/rad", displacement, 1},
    {"cm3/rev", displacement, 1.5915494309189535e-7},
    {"mL/rev", displacement, 1.5915494309189535e-7},
    {"in3/rev", displacement, 2.608082238363247e-6},
    {"m3/s", volume_flow, 1},
    {"L/min", volume_flow, 1.6666666666666667e-5},
    {"cm3/s", volume_flow, 0.000001},
    {"mm3/s", volume_flow, 0.000000001},
    {"gpm", volume_flow, 6.30901964e-5},
    {"cfm", volume_flow, 4.719474432e-4},
    {"kg/s", mass_flow, 1},
    {"g/s", mass_flow, 0.001},
    {"K", temperature, 1, 0},
    {"degC", temperature, 274.15, 273.15},
    {"degF", temperature, 255.92777777777778, 255.37222222222223},
    {"rad/s", speed, 1},
    {"rpm", speed, 0.10471975511965978},
    {"rev/s", speed, 6.283185307179586},
    {"rad", angle, 1},
    {"deg", angle, 0.017453292519943295},
    {"s", time, 1},
    {"ms", time, 0.001},
    {"us", time, 0.000001},
    {"min", time, 60},
    {"h", time, 3600},
    {"", ratio, 1},
    {"%", ratio, 0.01},
    {"x", ratio, 1},
    {"V", voltage, 1},
    {"mV", voltage, 0.001},
    {"A", current, 1},
    {"mA", current, 0.001},
    {"ohm", resistance, 1},
    {"mohm", resistance, 0.001},
    {"kohm", resistance, 1000},
    {"H", inductance, 1},
    {"mH", inductance, 0.001},
    {"m2/s", kinematic_viscosity, 1},
    {"mm2/s", kinematic_viscosity, 0.000001},
    {"cSt", kinematic_viscosity, 0.000001},
    {"Pa.s", dynamic_viscosity, 1},
    {"mPa.s", dynamic_viscosity, 0.001},
    {"cP", dynamic_viscosity, 0.001},
    {"N.m", torque, 1},
    {"ft.lbf", torque, 1.3558179483314004},
    {"in.lbf", torque, 0.1129848290276167},
    {"kg", mass, 1},
    {"g", mass, 0.001},
    {"mg", mass, 0.000001},
    {"lb", mass, 0.45359237},
    {"kg/m3", density, 1},
    {"g/cm3", density, 1000},
    {"dB", level, 1},
    // Other spellings.
    {"C", temperature, 274.15, 273.15},
    {"°C", temperature, 274.15, 273.15},
    {"F", temperature, 255.92777777777778, 255.37222222222223},
    {"°F", temperature, 255.92777777777778, 255.37222222222223},
    {"µm", length, 0.000001},
    {"μm", length, 0.000001},
    {"µs", time, 0.000001},
    {"μs", time, 0.000001},
    {"cc", volume, 0.000001},
    {"l", volume, 0.001},
    {"ml", volume, 0.000001},
    {"l/min", volume_flow, 1.6666666666666667e-5},
    {"ml/rev", displacement, 1.5915494309189535e-7},
    {"cc/rev", displacement, 1.5915494309189535e-7},
    {"Nm", torque, 1},
    {"N·m", torque, 1},
    {"1/min", speed, 0.10471975511965978},
    {"°", angle, 0.017453292519943295},
    {"Ω", resistance, 1},
    {"mm²", area, 0.000001},
    {"mm²/s", kinematic_viscosity, 0.000001},
};

constexpr double digits = 2e-11;  // of the shortest rows, relative

const Row* find(const std::vector<Row>& table, std::string_view symbol, Quantity quantity) {
  const auto found =
      std::ranges::find_if(table, [&](const Row& row) { return row.symbol == symbol && row.quantity == quantity; });
  return found == table.end() ? nullptr : &*found;
}

TEST(UnitTable, EveryUnitAndSpellingHasItsPublishedFactor) {
  for (const Row& row : rows) {
    EXPECT_NEAR(parse_quantity("1 " + std::string(row.symbol), row.quantity) / row.one, 1, digits) << row.symbol;
    EXPECT_NEAR(parse_quantity("0 " + std::string(row.symbol), row.quantity), row.zero, digits * row.one) << row.symbol;
  }
}

TEST(UnitTable, NoUnitOrSpellingIsWithoutARow) {
  for (const Unit& unit : units()) EXPECT_TRUE(find(rows, unit.symbol, unit.quantity)) << unit.symbol;
  for (const UnitSpelling& spelling : unit_spellings())
    EXPECT_TRUE(std::ranges::any_of(rows, [&](const Row& row) { return row.symbol == spelling.written; }))
        << spelling.written;
}

// What logs hold besides: conventional millimetre of mercury 133.322387415 Pa and kgf/cm2 98066.5 Pa, NIST SP 811
// (2008), App. B.8.
const std::vector<Row> log_rows = {
    {"inHg", pressure, 3386.388640341},
    {"mmHg", pressure, 133.322387415},
    {"hPa", pressure, 100},
    {"kgf/cm2", pressure, 98066.5},
    {"ksi", pressure, 6894757.293168361},
    {"days", time, 86400},
    {"lbf/in2", pressure, 6894.757293168361},
    {"lb/in2", pressure, 6894.757293168361},
    {"p.s.i.", pressure, 6894.757293168361},
    {"n/mm2", pressure, 1000000},
    {"n/mm²", pressure, 1000000},
    {"kg/cm2", pressure, 98066.5},
    {"kg/cm²", pressure, 98066.5},
    {"kgf/cm²", pressure, 98066.5},
    {"kp/cm2", pressure, 98066.5},
    {"kp/cm²", pressure, 98066.5},
    {"volts", voltage, 1},
    {"volt", voltage, 1},
    {"vdc", voltage, 1},
    {"voltios", voltage, 1},
    {"millivolts", voltage, 0.001},
    {"percent", ratio, 0.01},
    {"pct", ratio, 0.01},
    {"%dc", ratio, 0.01},
    {"%duty", ratio, 0.01},
    {"prozent", ratio, 0.01},
    {"1/min", speed, 0.10471975511965978},
    {"r/min", speed, 0.10471975511965978},
    {"rev/min", speed, 0.10471975511965978},
    {"min-1", speed, 0.10471975511965978},
    {"min⁻¹", speed, 0.10471975511965978},
    {"min^-1", speed, 0.10471975511965978},
    {"u/min", speed, 0.10471975511965978},
    {"r.p.m.", speed, 0.10471975511965978},
    {"tr/min", speed, 0.10471975511965978},
    {"tr/mn", speed, 0.10471975511965978},
    {"tpm", speed, 0.10471975511965978},
    {"1/s", speed, 6.283185307179586},
    {"c", temperature, 274.15, 273.15},
    {"°c", temperature, 274.15, 273.15},
    {"ºc", temperature, 274.15, 273.15},
    {"℃", temperature, 274.15, 273.15},
    {"celsius", temperature, 274.15, 273.15},
    {"deg.c", temperature, 274.15, 273.15},
    {"gradc", temperature, 274.15, 273.15},
    {"degreesc", temperature, 274.15, 273.15},
    {"f", temperature, 255.92777777777778, 255.37222222222223},
    {"°f", temperature, 255.92777777777778, 255.37222222222223},
    {"ºf", temperature, 255.92777777777778, 255.37222222222223},
    {"℉", temperature, 255.92777777777778, 255.37222222222223},
    {"fahrenheit", temperature, 255.92777777777778, 255.37222222222223},
    {"deg.f", temperature, 255.92777777777778, 255.37222222222223},
    {"degreesf", temperature, 255.92777777777778, 255.37222222222223},
    {"°k", temperature, 1},
    {"kelvin", temperature, 1},
    {"sec", time, 1},
    {"sec.", time, 1},
    {"secs", time, 1},
    {"second", time, 1},
    {"seconds", time, 1},
    {"sek", time, 1},
    {"sekunden", time, 1},
    {"secondes", time, 1},
    {"seg", time, 1},
    {"segundos", time, 1},
    {"msec", time, 0.001},
    {"millisec", time, 0.001},
    {"milliseconds", time, 0.001},
    {"usec", time, 0.000001},
    {"µs", time, 0.000001},
    {"μs", time, 0.000001},
    {"microseconds", time, 0.000001},
    {"minutes", time, 60},
    {"mins", time, 60},
    {"hours", time, 3600},
    {"hr", time, 3600},
    {"hrs", time, 3600},
    {"amps", current, 1},
    {"amp", current, 1},
    {"ampere", current, 1},
    {"milliamps", current, 0.001},
};

void expect_log_unit(const Row& row) {
  const auto unit = find_log_unit(row.symbol);
  ASSERT_TRUE(unit) << row.symbol;
  EXPECT_EQ(unit->quantity, row.quantity) << row.symbol;
  EXPECT_FALSE(unit->absolute) << row.symbol;
  EXPECT_NEAR((unit->factor + unit->offset) / row.one, 1, digits) << row.symbol;
  EXPECT_NEAR(unit->offset, row.zero, digits * row.one) << row.symbol;
}

TEST(LogUnitTable, EveryUnitAndSpellingHasItsPublishedFactor) {
  for (const Row& row : log_rows) expect_log_unit(row);
  // Symbols of the program's own table mean the same in a log, but for capitals: "ms" is a time and "mS" is nothing
  // else.
  for (const Row& row : rows)
    if ((row.quantity == pressure || row.quantity == speed || row.quantity == voltage || row.quantity == temperature) &&
        *row.symbol)
      expect_log_unit(row);
}

TEST(LogUnitTable, NoUnitOrSpellingIsWithoutARow) {
  const auto has_row = [](std::string_view text) {
    return std::ranges::any_of(log_rows, [&](const Row& row) { return row.symbol == text; });
  };
  for (const LogUnit& unit : log_only_units()) EXPECT_TRUE(has_row(unit.symbol)) << unit.symbol;
  for (const UnitSpelling& spelling : log_unit_spellings()) EXPECT_TRUE(has_row(spelling.written)) << spelling.written;
}

// What a pressure is measured from may follow its unit in several ways: gauge leaves it as it is, absolute is less by
// one atmosphere, 101325 Pa.
TEST(LogUnitTable, EveryPressureMayBeGaugeOrAbsolute) {
  std::vector<Row> pressures;
  for (const std::vector<Row>* table : {&rows, &log_rows})
    for (const Row& row : *table)
      if (row.quantity == pressure) pressures.push_back(row);
  for (const Row& row : pressures) {
    if (row.symbol == std::string("Pa")) continue;  // "Pag" is nobody's, and "Paa" neither
    for (const char* word : {"g", " gauge", " gage", " (g)", " relative", " relativ", " rel", "G"}) {
      const auto unit = find_log_unit(row.symbol + std::string(word));
      ASSERT_TRUE(unit) << row.symbol << word;
      EXPECT_NEAR(unit->factor / row.one, 1, digits) << row.symbol << word;
      EXPECT_EQ(unit->offset, 0) << row.symbol << word;
    }
    for (const char* word : {"a", " abs", " absolute", " absolut", " absolue", " absoluta", " absoluto", " (a)", "A"}) {
      const auto unit = find_log_unit(row.symbol + std::string(word));
      ASSERT_TRUE(unit) << row.symbol << word;
      EXPECT_NEAR(unit->factor / row.one, 1, digits) << row.symbol << word;
      EXPECT_EQ(unit->offset, -101325) << row.symbol << word;
    }
  }
}

}  // namespace
}  // namespace railseep
