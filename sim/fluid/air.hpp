#pragma once

#include <cmath>
#include <numbers>
#include <span>
#include <string_view>

namespace railseep {

/// Dry air as a perfect gas: p = rho*R*T.
///
/// Source: R and gamma NACA Report 1135 (1953); viscosity Sutherland's law with the constants of the US Standard
/// Atmosphere (1976)
///         (both from memory). Valid: to some MPa, 250..500 K. Leaves out: humidity.
struct Air {
  static constexpr double gas_constant = 287.05;  // R [J/(kg.K)]
  static constexpr double gamma = 1.4;            // ratio of specific heats [-]

  /// mu = 1.458e-6*T^1.5/(T + 110.4) [Pa.s]
  template <class S>
  static S viscosity(const S& temperature) {
    using std::sqrt;
    return 1.458e-6 * temperature * sqrt(temperature) / (temperature + 110.4);
  }
};

/// Pressure ratio below which a nozzle chokes: (2/(gamma+1))^(gamma/(gamma-1)) = 0.528282.
inline constexpr double critical_pressure_ratio = 0.52828178771717;

/// psi^2/(1 - r) of the isentropic nozzle  m = A*p1/sqrt(R*T1)*psi(r),  as a function of u = 1 - r, r = p2/p1 [-]:
///
///     psi^2 = 2*gamma/(gamma-1)*(r^(2/gamma) - r^((gamma+1)/gamma)),    constant below the critical ratio
///
/// psi^2 falls in proportion to u near u = 0, so the quotient stays smooth there (limit 2); value and slope of psi^2
/// are continuous where it chokes. Source: NACA Report 1135 (1953), isentropic flow (equation numbers not at hand).
template <class S>
S nozzle_function_slope(const S& u) {
  using std::pow;
  constexpr double choked = 0.46885716735;  // psi^2 at the critical ratio: gamma*(2/(gamma+1))^((gamma+1)/(gamma-1))
  if (u >= 1.0 - critical_pressure_ratio) return S(choked / u);
  const S r = 1.0 - u;
  constexpr double a = 2.0 / 7;  // (gamma-1)/gamma
  // (1 - r^a)/u: by its series where the difference would cancel.
  const S quotient = u < 1e-3 ? S(a * (1.0 + u * (1 - a) / 2 * (1.0 + u * (2 - a) / 3 * (1.0 + u * (3 - a) / 4))))
                              : S((1.0 - pow(r, a)) / u);
  return 7.0 * pow(r, 10.0 / 7) * quotient;
}

/// psi(r) itself [-]: 0 without a pressure difference, 0.684731 when choked.
inline double nozzle_function(double ratio) { return std::sqrt(nozzle_function_slope(1.0 - ratio) * (1.0 - ratio)); }

/// What somebody means by a "standard" litre or cubic foot: they differ by 9 %, so results always say which.
struct StandardAir {
  std::string_view name;  // printed beside every flow
  double density;         // [kg/m3]
};

/// The first one, ANR of ISO 8778 (as ISO 6358 uses it), is the one results are given in.
/// Source: ISO 8778:2003 for ANR (moist, by definition; from memory); the others are dry air at the state named.
inline constexpr StandardAir standard_airs[] = {
    {"ANR (ISO 8778): 100 kPa, 20 degC, 65 % humidity, 1.185 kg/m3", 1.185},
    {"14.5 psia, 68 degF, dry, 1.18806 kg/m3", 1.18806},
    {"14.696 psia, 60 degF, dry, 1.22265 kg/m3", 1.22265},
    {"14.696 psia, 70 degF, dry, 1.19957 kg/m3", 1.19957},
    {"normal: 101.325 kPa, 0 degC, dry, 1.29228 kg/m3", 1.29228},
};
inline constexpr const StandardAir& standard_air = standard_airs[0];

/// Volume that a mass flow of air would have at the standard state [m3/s].
inline double standard_flow(double mass_flow, const StandardAir& standard = standard_air) {
  return mass_flow / standard.density;
}

}  // namespace railseep
