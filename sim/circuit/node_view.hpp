#pragma once

#include "fluid/oil.hpp"

namespace railseep {

/// What one node holds and how its pressure answers.
struct NodeView {
  double pressure = 0;     // absolute [Pa]
  double oil_content = 0;  // oil mass in a volume of mixture [kg/m3]
  double air_content = 0;  // air, as volume at atmospheric pressure, in a volume of mixture [-]
  double by_oil = 0;       // dp/dx [Pa/kg], 0 for a tank
  double by_air = 0;       // dp/dg [Pa/m3], 0 for a tank
  double oil_by_oil = 0;   // d(oil_content)/dx [1/m3]
  double air_by_oil = 0;   // d(air_content)/dx [1/kg]
  double air_by_air = 0;   // d(air_content)/dg [1/m3]
};

/// A rigid volume of oil and free air: from what it holds to its pressure.
///
///     (1 + s(p))*(1 - a*e(p)) = 1 + x/(rho0*V),     a = g/V
///
/// s is the oil's compression, e the air's expansion (oil.hpp), x the oil mass beyond what fills the volume at
/// atmospheric pressure [kg], g its free air as volume at atmospheric pressure [m3]. Air below 1e-12 of the volume is
/// none. Oil without any air that is pulled apart below p_c = 1 kPa opens a cavity: where the oil alone would stand at
/// p it stands at p_c^2/(2*p_c - p), always above vacuum and with the same slope where it begins.
class MixtureVolume {
 public:
  MixtureVolume(double volume, const Oil& oil) : per_volume_(1.0 / volume), per_oil_(1.0 / (oil.density * volume)) {}

  /// @param near a pressure to look around first [Pa], 0: none is known; the result is the same within rounding
  NodeView view(double x, double g, const Oil& oil, double near = 0) const;

 private:
  NodeView without_air(double filled, const Oil& oil) const;

  double per_volume_, per_oil_;  // [1/m3], [1/kg]
};

}  // namespace railseep
