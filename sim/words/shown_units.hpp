#pragma once

#include <string>
#include <string_view>

#include "quantity/quantity.hpp"

namespace railseep {

/// The units that are shown: one choice, everywhere at once. Numbers stay SI; only what is drawn or printed goes
/// through here.
struct ShownUnits {
  std::string pressure = "psi", temperature = "degC", length = "mm", flow = "cm3/s";
  bool operator==(const ShownUnits&) const = default;

  /// Symbol in the unit table. @param hint the unit a length is usually written in ("um"), kept while metric
  std::string_view unit(Quantity quantity, std::string_view hint = {}) const;
  double number(double si, Quantity quantity, std::string_view hint = {}) const;
  double si(double shown, Quantity quantity, std::string_view hint = {}) const;

  /// What somebody typed: a number in the shown unit, or with one of its own. @throws Error when it reads as no such
  /// quantity
  double read(std::string_view typed, Quantity quantity, std::string_view hint = {}) const;

  /// "512 psi", with so many significant digits but never an exponent.
  std::string text(double si, Quantity quantity, std::string_view hint = {}, int digits = 3) const;

  /// The same in letters that everything can type and print: "88 degC", "20 cm3/s".
  std::string typed(double si, Quantity quantity, std::string_view hint = {}, int digits = 3) const;
};

/// "bar degF in": words for pressure (psi, bar, MPa), temperature (degC, degF), length (mm, in) and flow of oil (cm3/s,
/// L/min), in any order; what is not named stays. @throws Error naming the word that is none of them
ShownUnits parse_units(const std::string& words, ShownUnits units);

/// "degC" -> "°C", "um" -> "µm", "cm3/s" -> "cm³/s".
std::string printed_unit(std::string_view symbol);

/// 0.331 -> "33 %"; what is hardly there is "<1 %".
std::string percent(double share);

/// 0.87 -> "9 in 10", as one says it.
std::string in_ten(double share);

/// 1234.5 -> "1235", 0.0314159 -> "0.0314" (3 digits).
std::string plain_number(double value, int digits);

/// The same words as the beginning of a sentence: "hot crank" -> "Hot crank".
std::string capital(std::string_view words);

}  // namespace railseep
