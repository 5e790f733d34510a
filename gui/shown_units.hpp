#pragma once

#include <string>
#include <string_view>

#include "quantity/quantity.hpp"

namespace railseep::gui {

/// The units on screen: one choice, everywhere at once. Numbers stay SI; only what is drawn goes through here.
struct ShownUnits {
  std::string pressure = "psi", temperature = "degC", length = "mm";
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
};

/// "degC" -> "°C", "um" -> "µm", "cm3/s" -> "cm³/s".
std::string printed_unit(std::string_view symbol);

/// 0.331 -> "33 %"; what is hardly there is "<1 %".
std::string percent(double share);

/// 1234.5 -> "1235", 0.0314159 -> "0.0314" (3 digits).
std::string plain_number(double value, int digits);

}  // namespace railseep::gui
