#pragma once

#include <span>
#include <string>
#include <string_view>

#include "fluid/oil.hpp"

namespace railseep {

/// An engine oil as its data sheet gives it.
struct OilGrade {
  std::string name;      // "15W-40"
  double viscosity_40;   // nu [m2/s] at 40 degC
  double viscosity_100;  // nu [m2/s] at 100 degC
  double density_15;     // rho [kg/m3] at 15 degC
  std::string source;
};

/// Grades the program knows: 5W-40, 10W-30, 10W-40, 15W-40.
std::span<const OilGrade> oil_grades();

/// @throws Error naming the grades there are
const OilGrade& find_oil_grade(std::string_view name);

/// The grade with diesel fuel in it, as leaking injectors leave it in the sump.
///
/// Viscosities by Wright blending at 40 and at 100 degC, density by volume; the fuel's values in grade.cpp are assumed.
///
/// @param fuel_fraction volume of fuel in one volume of the mixture [-], 0 to 0.5
OilGrade diluted(const OilGrade& grade, double fuel_fraction);

/// The oil of a grade at one temperature [K], 230 to 450 K.
///
/// Viscosity by ASTM D341 (viscosity.hpp), density by ASTM D1250 (density.hpp), bulk modulus and pressure effect as
/// assumed data (bulk_modulus.hpp, viscosity.hpp). Free air follows n = 1: small bubbles take the temperature of the
/// oil.
///
/// Valid:  to 423 K, where the density standard ends, and down to the cloud point; beyond them extrapolated.
Oil oil_at(const OilGrade& grade, double temperature);

}  // namespace railseep
