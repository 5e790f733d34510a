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
    {"Pa", Quantity::pressure, 1},
    {"kPa", Quantity::pressure, 1000},
    {"MPa", Quantity::pressure, 1000000},
    {"GPa", Quantity::pressure, 1000000000},
    {"bar", Quantity::pressure, 100000},
    {"mbar", Quantity::pressure, 100},
    {"psi", Quantity::pressure, 6894.757293168361},
    {"atm", Quantity::pressure, 101325},
    {"m", Quantity::length, 1},
    {"cm", Quantity::length, 0.01},
    {"mm", Quantity::length, 0.001},
    {"um", Quantity::length, 0.000001},
    {"in", Quantity::length, 0.0254},
    {"m2", Quantity::area, 1},
    {"cm2", Quantity::area, 0.0001},
    {"mm2", Quantity::area, 0.000001},
    {"in2", Quantity::area, 0.00064516},
    {"m3", Quantity::volume, 1},
    {"L", Quantity::volume, 0.001},
    {"mL", Quantity::volume, 0.000001},
    {"cm3", Quantity::volume, 0.000001},
    {"mm3", Quantity::volume, 0.000000001},
    {"in3", Quantity::volume, 1.6387064e-5},
    {"m3/rad", Quantity::displacement, 1},
    {"cm3/rev", Quantity::displacement, 1.5915494309189535e-7},
    {"mL/rev", Quantity::displacement, 1.5915494309189535e-7},
    {"in3/rev", Quantity::displacement, 2.608082238363247e-6},
    {"m3/s", Quantity::volume_flow, 1},
    {"L/min", Quantity::volume_flow, 1.6666666666666667e-5},
    {"cm3/s", Quantity::volume_flow, 0.000001},
    {"mm3/s", Quantity::volume_flow, 0.000000001},
    {"gpm", Quantity::volume_flow, 6.30901964e-5},
    {"cfm", Quantity::volume_flow, 4.719474432e-4},
    {"kg/s", Quantity::mass_flow, 1},
    {"g/s", Quantity::mass_flow, 0.001},
    {"K", Quantity::temperature, 1, 0},
    {"degC", Quantity::temperature, 274.15, 273.15},
    {"degF", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"rad/s", Quantity::speed, 1},
    {"rpm", Quantity::speed, 0.10471975511965978},
    {"rev/s", Quantity::speed, 6.283185307179586},
    {"rad", Quantity::angle, 1},
    {"deg", Quantity::angle, 0.017453292519943295},
    {"s", Quantity::time, 1},
    {"ms", Quantity::time, 0.001},
    {"us", Quantity::time, 0.000001},
    {"min", Quantity::time, 60},
    {"h", Quantity::time, 3600},
    {"", Quantity::ratio, 1},
    {"%", Quantity::ratio, 0.01},
    {"x", Quantity::ratio, 1},
    {"V", Quantity::voltage, 1},
    {"mV", Quantity::voltage, 0.001},
    {"A", Quantity::current, 1},
    {"mA", Quantity::current, 0.001},
    {"ohm", Quantity::resistance, 1},
    {"mohm", Quantity::resistance, 0.001},
    {"kohm", Quantity::resistance, 1000},
    {"H", Quantity::inductance, 1},
    {"mH", Quantity::inductance, 0.001},
    {"m2/s", Quantity::kinematic_viscosity, 1},
    {"mm2/s", Quantity::kinematic_viscosity, 0.000001},
    {"cSt", Quantity::kinematic_viscosity, 0.000001},
    {"Pa.s", Quantity::dynamic_viscosity, 1},
    {"mPa.s", Quantity::dynamic_viscosity, 0.001},
    {"cP", Quantity::dynamic_viscosity, 0.001},
    {"N.m", Quantity::torque, 1},
    {"ft.lbf", Quantity::torque, 1.3558179483314004},
    {"in.lbf", Quantity::torque, 0.1129848290276167},
    {"kg", Quantity::mass, 1},
    {"g", Quantity::mass, 0.001},
    {"mg", Quantity::mass, 0.000001},
    {"lb", Quantity::mass, 0.45359237},
    {"kg/m3", Quantity::density, 1},
    {"g/cm3", Quantity::density, 1000},
    {"dB", Quantity::level, 1},
    // Other spellings.
    {"C", Quantity::temperature, 274.15, 273.15},
    {"°C", Quantity::temperature, 274.15, 273.15},
    {"F", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"°F", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"µm", Quantity::length, 0.000001},
    {"μm", Quantity::length, 0.000001},
    {"µs", Quantity::time, 0.000001},
    {"μs", Quantity::time, 0.000001},
    {"cc", Quantity::volume, 0.000001},
    {"l", Quantity::volume, 0.001},
    {"ml", Quantity::volume, 0.000001},
    {"l/min", Quantity::volume_flow, 1.6666666666666667e-5},
    {"ml/rev", Quantity::displacement, 1.5915494309189535e-7},
    {"cc/rev", Quantity::displacement, 1.5915494309189535e-7},
    {"Nm", Quantity::torque, 1},
    {"N·m", Quantity::torque, 1},
    {"1/min", Quantity::speed, 0.10471975511965978},
    {"°", Quantity::angle, 0.017453292519943295},
    {"Ω", Quantity::resistance, 1},
    {"mm²", Quantity::area, 0.000001},
    {"mm²/s", Quantity::kinematic_viscosity, 0.000001},
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
    {"inHg", Quantity::pressure, 3386.388640341},
    {"mmHg", Quantity::pressure, 133.322387415},
    {"hPa", Quantity::pressure, 100},
    {"kgf/cm2", Quantity::pressure, 98066.5},
    {"ksi", Quantity::pressure, 6894757.293168361},
    {"days", Quantity::time, 86400},
    {"lbf/in2", Quantity::pressure, 6894.757293168361},
    {"lb/in2", Quantity::pressure, 6894.757293168361},
    {"p.s.i.", Quantity::pressure, 6894.757293168361},
    {"n/mm2", Quantity::pressure, 1000000},
    {"n/mm²", Quantity::pressure, 1000000},
    {"kg/cm2", Quantity::pressure, 98066.5},
    {"kg/cm²", Quantity::pressure, 98066.5},
    {"kgf/cm²", Quantity::pressure, 98066.5},
    {"kp/cm2", Quantity::pressure, 98066.5},
    {"kp/cm²", Quantity::pressure, 98066.5},
    {"volts", Quantity::voltage, 1},
    {"volt", Quantity::voltage, 1},
    {"vdc", Quantity::voltage, 1},
    {"voltios", Quantity::voltage, 1},
    {"millivolts", Quantity::voltage, 0.001},
    {"percent", Quantity::ratio, 0.01},
    {"pct", Quantity::ratio, 0.01},
    {"%dc", Quantity::ratio, 0.01},
    {"%duty", Quantity::ratio, 0.01},
    {"prozent", Quantity::ratio, 0.01},
    {"1/min", Quantity::speed, 0.10471975511965978},
    {"r/min", Quantity::speed, 0.10471975511965978},
    {"rev/min", Quantity::speed, 0.10471975511965978},
    {"min-1", Quantity::speed, 0.10471975511965978},
    {"min⁻¹", Quantity::speed, 0.10471975511965978},
    {"min^-1", Quantity::speed, 0.10471975511965978},
    {"u/min", Quantity::speed, 0.10471975511965978},
    {"r.p.m.", Quantity::speed, 0.10471975511965978},
    {"tr/min", Quantity::speed, 0.10471975511965978},
    {"tr/mn", Quantity::speed, 0.10471975511965978},
    {"tpm", Quantity::speed, 0.10471975511965978},
    {"1/s", Quantity::speed, 6.283185307179586},
    {"c", Quantity::temperature, 274.15, 273.15},
    {"°c", Quantity::temperature, 274.15, 273.15},
    {"ºc", Quantity::temperature, 274.15, 273.15},
    {"℃", Quantity::temperature, 274.15, 273.15},
    {"celsius", Quantity::temperature, 274.15, 273.15},
    {"deg.c", Quantity::temperature, 274.15, 273.15},
    {"gradc", Quantity::temperature, 274.15, 273.15},
    {"degreesc", Quantity::temperature, 274.15, 273.15},
    {"f", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"°f", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"ºf", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"℉", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"fahrenheit", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"deg.f", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"degreesf", Quantity::temperature, 255.92777777777778, 255.37222222222223},
    {"°k", Quantity::temperature, 1},
    {"kelvin", Quantity::temperature, 1},
    {"sec", Quantity::time, 1},
    {"sec.", Quantity::time, 1},
    {"secs", Quantity::time, 1},
    {"second", Quantity::time, 1},
    {"seconds", Quantity::time, 1},
    {"sek", Quantity::time, 1},
    {"sekunden", Quantity::time, 1},
    {"secondes", Quantity::time, 1},
    {"seg", Quantity::time, 1},
    {"segundos", Quantity::time, 1},
    {"msec", Quantity::time, 0.001},
    {"millisec", Quantity::time, 0.001},
    {"milliseconds", Quantity::time, 0.001},
    {"usec", Quantity::time, 0.000001},
    {"µs", Quantity::time, 0.000001},
    {"μs", Quantity::time, 0.000001},
    {"microseconds", Quantity::time, 0.000001},
    {"minutes", Quantity::time, 60},
    {"mins", Quantity::time, 60},
    {"hours", Quantity::time, 3600},
    {"hr", Quantity::time, 3600},
    {"hrs", Quantity::time, 3600},
    {"amps", Quantity::current, 1},
    {"amp", Quantity::current, 1},
    {"ampere", Quantity::current, 1},
    {"milliamps", Quantity::current, 0.001},
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
    if ((row.quantity == Quantity::pressure || row.quantity == Quantity::speed || row.quantity == Quantity::voltage ||
         row.quantity == Quantity::temperature) &&
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
      if (row.quantity == Quantity::pressure) pressures.push_back(row);
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
