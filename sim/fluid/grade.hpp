#pragma once

#include <span>
#include <string>
#include <string_view>

#include "fluid/oil.hpp"

namespace railseep {

/// An engine oil as its data sheet gives it.
struct OilGrade {
  std::string name;     // "15W-40"
  double viscosity_40;  // nu [m2/s] at 40 degC
  double viscosity_100; // nu [m2/s] at 100 degC
  double density_15;    // rho [kg/m3] at 15 degC
  std::string source;
};

/// Grades the program knows: 5W-40, 10W-30, 10W-40, 15W-40.
std::span<const OilGrade> oil_grades();

/// @throws Error naming the nearest known grade
const OilGrade& find_oil_grade(std::string_view name);

/// The oil of a grade at one temperature [K], 230 to 450 K.
///
/// Viscosity by ASTM D341, density by ASTM D1250, bulk modulus and pressure effect as data (see viscosity.hpp, density.hpp).
Oil oil_at(const OilGrade& grade, double temperature);

}  // namespace railseep
