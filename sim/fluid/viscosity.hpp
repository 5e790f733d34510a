#pragma once

namespace railseep {

/// Z of ASTM D341, a number in mm2/s. @param nu kinematic viscosity [m2/s], at least 0.21 mm2/s
///
///     Z = nu + 0.7 + exp(-1.47 - 1.84*nu - 0.51*nu^2)      nu in mm2/s
///
/// Above 5 mm2/s the last term is below 1e-9 and this is the simple form Z = nu + 0.7.
///
/// Source: ASTM D341-20, section 5.
double d341_z(double nu);

/// The standard's own inverse of d341_z [m2/s]: the round trip is good to 2e-4 from 0.5 mm2/s and exact from 5 mm2/s.
double d341_viscosity(double z);

/// Kinematic viscosity of one oil against temperature: a straight line on ASTM D341 paper.
///
///     log10(log10(Z)) = A - B*log10(T)      T in K
///
/// Source: ASTM D341-20, section 5 (Walther equation).
/// Valid:  inside and near the two given points, above the cloud point.
/// Leaves out: shear thinning. A multigrade oil in the cold is thinner than this line under high shear (ASTM D5293) and
/// may gel at rest.
class ViscosityLine {
 public:
  /// @param t1, t2   temperatures of the two points [K], t1 < t2
  /// @param nu1, nu2 viscosities there [m2/s], nu1 > nu2 >= 0.21 mm2/s
  ViscosityLine(double t1, double nu1, double t2, double nu2);

  double at(double temperature) const;  // nu [m2/s]
  double intercept() const { return a_; }
  double slope() const { return b_; }

 private:
  double a_, b_;
};

/// Kinematic viscosity of oil with fuel in it, all three at the same temperature [m2/s].
///
///     W = log10(log10(Z))      W_blend = (1 - phi)*W_oil + phi*W_fuel
///
/// Source: Wright blending on the ordinate of ASTM D341, as in ASTM D7152 (volume fractions; equation from memory).
/// Valid:  petroleum parts that mix fully.
/// Leaves out: what the polymer of a multigrade oil does in a thinner solvent, fuel boiling out of hot oil, biodiesel.
///
/// @param fuel_fraction phi, volume of fuel in one volume of the mixture [-], 0 to 1
double blended_viscosity(double nu_oil, double nu_fuel, double fuel_fraction);

/// Pressure-viscosity coefficient alpha [1/Pa] taken for engine oil at every temperature. Barus' law is in oil.hpp.
///
/// Source: 2.0e-8 +-30 % at 60 degC, from the mineral oils of Stachowiak & Batchelor, Engineering Tribology, Table 2.3.
/// There alpha falls by a third from 30 to 100 degC (heavy machine oil 2.37e-8 to 1.58e-8): taking it constant makes
/// the leak through a film at 20 MPa and 100 degC about 4 % too small.
inline constexpr double engine_oil_pressure_viscosity = 2.0e-8;

}  // namespace railseep
