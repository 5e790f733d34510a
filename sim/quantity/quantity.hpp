#pragma once

#include <span>
#include <string>
#include <string_view>

namespace railseep {

/// What a number measures. Every number inside the program is SI; units live at the borders only.
enum class Quantity {
  pressure,             // Pa
  length,               // m
  area,                 // m2
  volume,               // m3
  displacement,         // m3/rad (written per revolution)
  volume_flow,          // m3/s
  mass_flow,            // kg/s
  temperature,          // K
  speed,                // rad/s
  angle,                // rad
  time,                 // s
  ratio,                // 1 (written in % or as a plain number)
  voltage,              // V
  current,              // A
  resistance,           // ohm
  inductance,           // H
  kinematic_viscosity,  // m2/s
  dynamic_viscosity,    // Pa.s
  torque,               // N.m
  mass,                 // kg
  density,              // kg/m3
  level,                // dB (of sound: re 20 uPa at the ear, re 1 pW at the source)
};

/// One unit of one quantity: value in SI = written * factor + offset. The offset is used by temperature alone.
/// Extended precision, so that "0.8 mm" reads as the double nearest to 0.0008. The plain ratio has the empty symbol.
struct Unit {
  std::string_view symbol;
  Quantity quantity;
  long double factor;
  long double offset = 0;
};

/// One row a quantity: its word on screens and in messages, its SI unit, and an example to write.
struct QuantityInfo {
  Quantity quantity;
  std::string_view name;     // "rail pressure" is a label; this is "pressure"
  std::string_view si_unit;  // "Pa"
  std::string_view example;  // "3.5 MPa"
};

const QuantityInfo& info(Quantity quantity);

/// All units the program reads, in the order they are offered to a user; the first of each quantity is its SI unit.
/// Other spellings ("C", "µm", "cc") are read as well, but not offered.
std::span<const Unit> units();

/// "write a length such as "0.8 mm"": the advice that goes with every number that cannot be read.
std::string how_to_write(Quantity quantity);

/// Finds a unit by its symbol, among those of one quantity. @throws Error naming the units that would do.
const Unit& find_unit(std::string_view symbol, Quantity quantity);

/// "0.8 mm" -> 0.0008. @param text number, blank (optional), unit; a ratio may stand without a unit
/// @throws Error when the text is longer than any quantity, the number malformed or not finite, the unit missing,
/// unknown or of another quantity
double parse_quantity(std::string_view text, Quantity quantity);

double to_unit(double si, Quantity quantity, std::string_view unit);
double from_unit(double written, Quantity quantity, std::string_view unit);

/// 0.0008 -> "0.8 mm", with so many significant digits.
std::string format_quantity(double si, Quantity quantity, std::string_view unit, int digits = 4);

/// The shortest text (at most 17 digits) that reads back to the same SI number, in the given unit: for files.
/// A temperature below 64 K needs more digits than that in degC or degF and is written in K.
/// @throws Error when the number is not finite
std::string write_quantity(double si, Quantity quantity, std::string_view unit);

/// What a number may be, and the unit that people write it in.
struct QuantityRange {
  Quantity quantity;
  double least, most;  // SI
  std::string_view unit;
};

/// "0 mm to 100 mm": both ends as texts that read back to numbers in the range.
std::string range_text(const QuantityRange& range);

/// The number. @throws Error at the place when it is outside, showing as many digits as it takes to see that
double within_range(double si, const QuantityRange& range, const std::string& place);

/// The known word nearest to a mistyped one (edit distance), for "did you mean"; empty when none is near.
std::string nearest_word(std::string_view word, std::span<const std::string> known);

/// Air pressure outside the circuit [Pa]: gauge pressure + this = absolute. Standard atmosphere, exact.
inline constexpr double atmospheric_pressure = 101325.0;

}  // namespace railseep
