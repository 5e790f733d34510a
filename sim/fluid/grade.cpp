#include "fluid/grade.hpp"

#include <array>
#include <sstream>

#include "fluid/bulk_modulus.hpp"
#include "fluid/density.hpp"
#include "fluid/viscosity.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double t20 = 293.15, t40 = 313.15, t100 = 373.15;            // [K]
constexpr double lowest_temperature = 230, highest_temperature = 450;  // [K]

// Typical of what is sold under each grade; SAE J300 fixes only the window at 100 degC and the limits in the cold.
constexpr const char* assumed = "assumed: typical value from memory, inside the SAE J300 window";
const std::array<OilGrade, 4> grades = {{
    {"5W-40", 86e-6, 14.2e-6, 855, assumed},
    {"10W-30", 72e-6, 10.8e-6, 872, assumed},
    {"10W-40", 96e-6, 14.4e-6, 870, assumed},
    {"15W-40", 110e-6, 14.5e-6, 880, assumed},
}};

// Diesel fuel, assumed. EN 590 asks for 2.0 to 4.5 mm2/s at 40 degC and 820 to 845 kg/m3 (from memory).
const OilGrade diesel_fuel = {"diesel fuel", 2.7e-6, 1.15e-6, 835, "assumed: typical value from memory, inside EN 590"};

void check_temperature(const OilGrade& grade, double temperature) {
  if (temperature >= lowest_temperature && temperature <= highest_temperature) return;
  std::ostringstream found;
  found << "temperature " << temperature << " K is outside what the oil model covers";
  throw Error("oil " + grade.name, found.str(), "give one from 230 to 450 K (-43 to 177 degC)");
}

}  // namespace

std::span<const OilGrade> oil_grades() { return grades; }

const OilGrade& find_oil_grade(std::string_view name) {
  std::string known;
  for (const OilGrade& grade : grades) {
    if (grade.name == name) return grade;
    known += (known.empty() ? "" : ", ") + grade.name;
  }
  throw Error("oil grade", "\"" + std::string(name) + "\" is not known", "the grades are " + known);
}

OilGrade diluted(const OilGrade& grade, double fuel_fraction) {
  const double phi = fuel_fraction;
  if (!(phi >= 0 && phi <= 0.5)) {
    std::ostringstream found;
    found << "fuel fraction " << phi << " is outside what the blending covers";
    throw Error("oil " + grade.name, found.str(), "give a share of the volume from 0 to 0.5 (0 to 50 %)");
  }
  std::ostringstream name;
  name << grade.name << " with " << 100 * phi << " % fuel";
  return {name.str(), blended_viscosity(grade.viscosity_40, diesel_fuel.viscosity_40, phi),
          blended_viscosity(grade.viscosity_100, diesel_fuel.viscosity_100, phi),
          (1 - phi) * grade.density_15 + phi * diesel_fuel.density_15, grade.source + "; fuel " + diesel_fuel.source};
}

Oil oil_at(const OilGrade& grade, double temperature) {
  check_temperature(grade, temperature);
  const ViscosityLine line(t40, grade.viscosity_40, t100, grade.viscosity_100);
  Oil oil;
  oil.temperature = temperature;
  oil.density = density_at_temperature(grade.density_15, temperature);
  oil.viscosity = line.at(temperature) * oil.density;
  oil.bulk_modulus = hayward_isentropic_modulus(line.at(t20), temperature, 0);
  oil.bulk_modulus_slope = assumed_bulk_modulus_slope;
  oil.pressure_viscosity = engine_oil_pressure_viscosity;
  return oil;
}

}  // namespace railseep
