#include "quantity/quantity.hpp"

#include <gtest/gtest.h>

#include <clocale>
#include <cmath>
#include <cstring>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "quantity/error.hpp"

namespace railseep {
namespace {

Error refusal_of(std::string_view text, Quantity quantity) {
  try {
    parse_quantity(text, quantity);
  } catch (const Error& error) {
    return error;
  }
  return {"", "no error", "none"};
}

struct PublishedFactor {
  const char* text;
  Quantity quantity;
  double si;
  double rounding;  // half a unit of the last printed digit, in SI
};

// NIST SP 811 (2008), App. B.8 (rounded factors there); the longer digits follow exactly from the definitions
// inch 0.0254 m, lb 0.45359237 kg, gn 9.80665 m/s2, US gallon 231 in3, and are printed so in handbook tables.
const PublishedFactor published[] = {
    {"1 psi", Quantity::pressure, 6894.757293168, 5e-10},
    {"14.503773773 psi", Quantity::pressure, 1e5, 5e-10 * 6895},
    {"145.03773773 psi", Quantity::pressure, 1e6, 5e-9 * 6895},
    {"500 psi", Quantity::pressure, 3.447379e6, 0.5},
    {"4000 psi", Quantity::pressure, 27.579029e6, 0.5},
    {"14.695948776 psi", Quantity::pressure, 101325, 5e-10 * 6895},
    {"1 atm", Quantity::pressure, 101325, 0},
    {"1 ft.lbf", Quantity::torque, 1.3558179483314, 5e-14},
    {"1 in.lbf", Quantity::torque, 0.11298482902762, 5e-15},
    {"1 in3", Quantity::volume, 1.6387064e-5, 1e-20},
    {"1 gpm", Quantity::volume_flow, 6.309019640e-5, 5e-15},
    {"1 cfm", Quantity::volume_flow, 4.719474432e-4, 5e-14},
    {"1 cSt", Quantity::kinematic_viscosity, 1e-6, 0},
    {"1 lb", Quantity::mass, 0.45359237, 0},
    {"1 in", Quantity::length, 0.0254, 0},
    {"1 g/cm3", Quantity::density, 1000, 0},
    {"1 cP", Quantity::dynamic_viscosity, 1e-3, 0},
    {"1 h", Quantity::time, 3600, 0},
};

TEST(Quantity, HasThePublishedFactors) {
  for (const PublishedFactor& row : published) {
    EXPECT_NEAR(parse_quantity(row.text, row.quantity), row.si, row.rounding) << row.text;
  }
}

// Fixed points of the scales: NIST SP 811 (2008), App. B.8: t/degC = T/K - 273.15; T = (t_F + 459.67)/1.8.
TEST(Quantity, TemperatureScalesMeetAtTheirFixedPoints) {
  EXPECT_DOUBLE_EQ(parse_quantity("0 degC", Quantity::temperature), 273.15);
  EXPECT_DOUBLE_EQ(parse_quantity("32 degF", Quantity::temperature), 273.15);
  EXPECT_DOUBLE_EQ(parse_quantity("212 °F", Quantity::temperature), 373.15);
  EXPECT_DOUBLE_EQ(parse_quantity("-40 F", Quantity::temperature), parse_quantity("-40 C", Quantity::temperature));
  EXPECT_NEAR(parse_quantity("-459.67 degF", Quantity::temperature), 0, 1e-13);
  EXPECT_NEAR(to_unit(310.15, Quantity::temperature, "degF"), 98.6, 1e-12);
}

// A revolution is 2*pi rad; displacement is per radian inside, per revolution in writing.
TEST(Quantity, TurnsAreTwoPiRadians) {
  EXPECT_DOUBLE_EQ(parse_quantity("60 rpm", Quantity::speed), 2 * std::numbers::pi);
  EXPECT_DOUBLE_EQ(parse_quantity("1 rev/s", Quantity::speed), 2 * std::numbers::pi);
  EXPECT_DOUBLE_EQ(parse_quantity("180 deg", Quantity::angle), std::numbers::pi);
  // 7.2 cm3/rev at 150 rpm delivers 7.2*150 cm3/min = 18 cm3/s.
  const double flow =
      parse_quantity("7.2 cm3/rev", Quantity::displacement) * parse_quantity("150 rpm", Quantity::speed);
  EXPECT_NEAR(flow, parse_quantity("18 cm3/s", Quantity::volume_flow), 1e-20);
}

TEST(Quantity, ReadsDecimalsAsTheNearestDouble) {
  EXPECT_EQ(parse_quantity("0.8 mm", Quantity::length), 0.0008);
  EXPECT_EQ(parse_quantity("3.5MPa", Quantity::pressure), 3.5e6);
  EXPECT_EQ(parse_quantity("  +12.1 V ", Quantity::voltage), 12.1);
  EXPECT_EQ(parse_quantity("-5e-1 bar", Quantity::pressure), -5e4);
  EXPECT_EQ(parse_quantity("65 %", Quantity::ratio), 0.65);
  EXPECT_EQ(parse_quantity("0.65", Quantity::ratio), 0.65);
  EXPECT_EQ(parse_quantity("2x", Quantity::ratio), 2);
  EXPECT_EQ(parse_quantity("40 µm", Quantity::length), 40e-6);
}

TEST(Quantity, SaysWhatIsMissing) {
  EXPECT_EQ(refusal_of("0.8", Quantity::length).found(), "\"0.8\" has no unit");
  EXPECT_EQ(refusal_of("0.8", Quantity::length).expected(), "write a length such as \"0.8 mm\"");
  EXPECT_EQ(refusal_of("0.8", Quantity::length).place(), "");
  EXPECT_EQ(refusal_of("0.8 psi", Quantity::length).found(), "\"0.8 psi\" is a pressure");
  EXPECT_EQ(refusal_of("0.8 psi", Quantity::length).expected(), "write a length such as \"0.8 mm\"");
  EXPECT_EQ(refusal_of("3 mm", Quantity::area).expected(), "write an area such as \"0.5 mm2\"");
  EXPECT_EQ(refusal_of("mm", Quantity::length).found(), "\"mm\" has no number");
  EXPECT_EQ(refusal_of("", Quantity::length).found(), "the text is empty");
  EXPECT_EQ(refusal_of("12", Quantity::pressure).found(), "\"12\" has no unit");
}

TEST(Quantity, RefusesNumbersItCouldMisread) {
  EXPECT_EQ(refusal_of("0,8 mm", Quantity::length).found(), "\"0,8 mm\" has a comma in its number");
  EXPECT_EQ(refusal_of("1,000 psi", Quantity::pressure).found(), "\"1,000 psi\" has a comma in its number");
  for (const char* text : {"nan mm", "inf mm", "-inf mm", "1e999 mm", "1e99999 mm", "infinity m"}) {
    EXPECT_EQ(refusal_of(text, Quantity::length).found(), "\"" + std::string(text) + "\" is not a finite number");
  }
  for (const char* text : {"1.2.3 mm", "1 000 mm", "1-2 mm"}) {
    EXPECT_EQ(refusal_of(text, Quantity::length).found(), "\"" + std::string(text) + "\" is not one number");
  }
  EXPECT_EQ(refusal_of("+-1 mm", Quantity::length).found(), "\"+-1 mm\" has no number");
  EXPECT_EQ(refusal_of("0x10 mm", Quantity::length).found(), "\"0x10 mm\" has the unknown unit \"x10 mm\"");
}

TEST(Quantity, NamesTheNearestUnit) {
  EXPECT_EQ(refusal_of("0.8 mn", Quantity::length).found(), "\"0.8 mn\" has the unknown unit \"mn\"");
  EXPECT_EQ(refusal_of("0.8 mn", Quantity::length).expected(),
            "did you mean \"mm\"? units of length: m, cm, mm, um, in");
  EXPECT_NE(refusal_of("500 PSI", Quantity::pressure).expected().find("did you mean \"psi\"?"), std::string::npos);
  EXPECT_NE(refusal_of("3 Mpa", Quantity::pressure).expected().find("did you mean \"MPa\"?"), std::string::npos);
  EXPECT_EQ(refusal_of("3 parsec", Quantity::length).expected(), "units of length: m, cm, mm, um, in");
}

TEST(Quantity, IgnoresTheLocale) {
  const std::string before = std::setlocale(LC_ALL, nullptr);
  bool found = false;
  for (const char* name : {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8"}) {
    found = found || std::setlocale(LC_ALL, name) != nullptr;
  }
  if (!found) GTEST_SKIP() << "no locale with a decimal comma is installed";
  EXPECT_EQ(parse_quantity("0.8 mm", Quantity::length), 0.0008);
  EXPECT_EQ(write_quantity(0.0008, Quantity::length, "mm"), "0.8 mm");
  std::setlocale(LC_ALL, before.c_str());
}

TEST(Quantity, FormatsForPeople) {
  EXPECT_EQ(format_quantity(0.0008, Quantity::length, "mm"), "0.8 mm");
  EXPECT_EQ(format_quantity(3.5e6, Quantity::pressure, "psi"), "507.6 psi");
  EXPECT_EQ(format_quantity(12345e3, Quantity::pressure, "kPa"), "12345 kPa");
  EXPECT_EQ(format_quantity(0.65, Quantity::ratio, "%"), "65 %");
  EXPECT_EQ(format_quantity(-0.0, Quantity::pressure, "psi"), "0 psi");
  EXPECT_EQ(format_quantity(1.2e-12, Quantity::ratio, ""), "1.2e-12");
  EXPECT_EQ(format_quantity(0.00012345, Quantity::length, "m", 3), "0.000123 m");
  EXPECT_THROW(format_quantity(1, Quantity::length, "psi"), Error);
}

TEST(Quantity, WritesTheShortestText) {
  EXPECT_EQ(write_quantity(0.0008, Quantity::length, "mm"), "0.8 mm");
  EXPECT_EQ(write_quantity(parse_quantity("512 psi", Quantity::pressure), Quantity::pressure, "psi"), "512 psi");
  EXPECT_EQ(write_quantity(parse_quantity("92.5 degC", Quantity::temperature), Quantity::temperature, "degC"),
            "92.5 degC");
  EXPECT_EQ(write_quantity(0.65, Quantity::ratio, ""), "0.65");
  EXPECT_EQ(write_quantity(1.0, Quantity::ratio, "%"), "100 %");  // a person reads the file: no 1e+02
  EXPECT_EQ(write_quantity(289800, Quantity::time, "min"), "4830 min");
  EXPECT_THROW(write_quantity(std::nan(""), Quantity::length, "mm"), Error);
}

// Law: reading what was written gives the same bits, for every unit. Temperatures over the range oils live in.
TEST(Quantity, WritingAndReadingGivesTheSameBits) {
  std::mt19937_64 random(20240501);
  std::uniform_real_distribution<double> exponent(-12, 12), mantissa(-10, 10), kelvin(200, 500);
  for (const Unit& unit : units()) {
    for (int i = 0; i < 300; ++i) {
      const bool warm = unit.quantity == Quantity::temperature;
      const double si = warm ? kelvin(random) : mantissa(random) * std::pow(10, exponent(random));
      const std::string text = write_quantity(si, unit.quantity, unit.symbol);
      EXPECT_EQ(parse_quantity(text, unit.quantity), si) << text;
      EXPECT_TRUE(text.ends_with(unit.symbol)) << text;
    }
  }
  const double cold = 1e-7;  // [K]; beyond what 17 digits of degC can tell
  EXPECT_EQ(parse_quantity(write_quantity(cold, Quantity::temperature, "degC"), Quantity::temperature), cold);
}

TEST(Quantity, EveryRowOfTheTableIsSound) {
  for (int i = 0; i <= static_cast<int>(Quantity::density); ++i) {
    const auto quantity = static_cast<Quantity>(i);
    EXPECT_EQ(info(quantity).quantity, quantity);
    EXPECT_EQ(find_unit(info(quantity).si_unit, quantity).factor, 1);
    EXPECT_TRUE(std::isfinite(parse_quantity(info(quantity).example, quantity)));
  }
  for (const Unit& unit : units()) EXPECT_EQ(find_unit(unit.symbol, unit.quantity).factor, unit.factor);
  EXPECT_THROW(find_unit("psi", Quantity::length), Error);
}

/// What within_range() says of a number that is outside.
std::string refusal(double si, const QuantityRange& range) {
  try {
    within_range(si, range, "here");
  } catch (const Error& error) {
    return error.what();
  }
  return "";
}

// 1000 cm3/rev is 1.59e-4 m3/rad; the ends of this range are no round numbers in cm3/rev.
TEST(QuantityRange, RefusesWithDigitsThatShowWhyAndAdviceThatIsAccepted) {
  const QuantityRange range{Quantity::displacement, 1e-9, 1e-3, "cm3/rev"};
  EXPECT_EQ(refusal(from_unit(6283.2, Quantity::displacement, "cm3/rev"), range),
            "here: 6283.2 cm3/rev is out of range; write 0.006284 cm3/rev to 6283 cm3/rev.");
  EXPECT_EQ(refusal(from_unit(-1, Quantity::displacement, "cm3/rev"), range),
            "here: -1 cm3/rev is out of range; write 0.006284 cm3/rev to 6283 cm3/rev.");
  EXPECT_EQ(refusal(1e-3, range), "");
  EXPECT_EQ(refusal(1e-9, range), "");
  EXPECT_EQ(refusal(0.2, {Quantity::length, 0, 0.1, "mm"}), "here: 200 mm is out of range; write 0 mm to 100 mm.");
  EXPECT_NE(refusal(std::nan(""), range), "");
}

TEST(NearestWord, FindsSlipsAndNothingElse) {
  const std::vector<std::string> known = {"diameter", "length", "eccentricity"};
  EXPECT_EQ(nearest_word("diametre", known), "diameter");
  EXPECT_EQ(nearest_word("Lenght", known), "length");
  EXPECT_EQ(nearest_word("eccentricty", known), "eccentricity");
  EXPECT_EQ(nearest_word("pressure", known), "");
  EXPECT_EQ(nearest_word("", known), "");
}

}  // namespace
}  // namespace railseep
