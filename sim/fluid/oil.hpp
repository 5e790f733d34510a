#pragma once

#include <cmath>

#include "quantity/quantity.hpp"

namespace railseep {

/// Air that is free (not dissolved) in the oil, compressed along p*v^n = const.
struct Gas {
  double exponent = 1.0;  // n [-], 1 slow (isothermal) .. 1.4 fast (adiabatic)

  /// Volume now of what fills one volume at atmospheric pressure [-]. @param p absolute [Pa], above 0
  template <class S>
  S expansion(const S& p) const {
    using std::pow;
    if (exponent == 1.0) return S(atmospheric_pressure) / p;
    return pow(S(atmospheric_pressure) / p, 1.0 / exponent);
  }
};

/// Oil at one temperature: what every element needs to know of it. Pressures are absolute [Pa].
///
///     K = K0 + m*(p - p0)      rho = rho0*(1 + m*(p - p0)/K0)^(1/m)      mu = mu0*exp(alpha*(p - p0))
///
/// Density and bulk modulus belong together: K = rho*dp/drho holds exactly, so mass and pressure cannot drift apart.
///
/// Source: density Murnaghan (1944), the integral of a tangent bulk modulus linear in pressure; viscosity Barus (1893).
/// Valid:  to about 50 MPa, and down to vacuum while K0 > m*p0. At 50 MPa Barus is 3 to 6 % above Roelands for oil of
///         10 to 100 mPa.s (tests/reference). Leaves out: shear thinning, heating by the flow, air going into solution.
struct Oil {
  double temperature = 313.15;    // T [K]
  double density = 860.0;         // rho0 [kg/m3] at atmospheric pressure
  double viscosity = 0.1;         // mu0 [Pa.s] at atmospheric pressure
  double bulk_modulus = 1.5e9;    // K0 [Pa], tangent, at atmospheric pressure, free of air
  double bulk_modulus_slope = 0;  // m [-], about 10 for oil; exactly 0 keeps K constant
  double pressure_viscosity = 0;  // alpha [1/Pa], about 2e-8 for oil; 0 keeps mu constant
  Gas gas;
  double edge_law =
      0;  // how a sharp hole passes it, 0..1: 0 laminar and turbulent loss in series, 1 a published fit; hole.hpp [-]

  static constexpr double p0 = atmospheric_pressure;

  template <class S>
  S density_at(const S& p) const {
    using std::exp;
    using std::log;
    const double m = bulk_modulus_slope, k = bulk_modulus;
    // The limit of the power law for m -> 0.
    if (m == 0) return density * exp((p - p0) / k);
    return density * exp(log(1.0 + m * (p - p0) / k) / m);
  }

  /// rho/rho0 - 1 without cancellation [-].
  double compression_at(double p) const {
    const double m = bulk_modulus_slope, k = bulk_modulus, stiffer = m * (p - p0);
    if (!(m > 0 && std::abs(stiffer) < 0.25 * k))
      return std::expm1(m == 0 ? (p - p0) / k : std::log1p(stiffer / k) / m);
    // The solver spends most of its time here, so ln(1 + stiffer/k) = 2*artanh(z) and expm1 are their Taylor series,
    // cut where the next term is below rounding.
    const double z = stiffer / (2.0 * k + stiffer), q = z * z, qq = q * q;
    const double l = 2.0 / m * z *
                     ((1.0 + q * (1.0 / 3) + qq * (1.0 / 5 + q * (1.0 / 7))) +
                      qq * qq * ((1.0 / 9 + q * (1.0 / 11)) + qq * (1.0 / 13 + q * (1.0 / 15))));
    if (std::abs(l) > 0.02) return std::expm1(l);
    const double ll = l * l;
    return l * ((1.0 + l * (1.0 / 2) + ll * (1.0 / 6 + l * (1.0 / 24))) +
                ll * ll * (1.0 / 120 + l * (1.0 / 720) + ll * (1.0 / 5040)));
  }

  /// Tangent bulk modulus of the oil alone; with free air in it see MixtureVolume.
  template <class S>
  S bulk_modulus_at(const S& p) const {
    return bulk_modulus + bulk_modulus_slope * (p - p0);
  }

  template <class S>
  S viscosity_at(const S& p) const {
    using std::exp;
    return viscosity * exp(pressure_viscosity * (p - p0));
  }

  /// Viscosity that a laminar film feels between two pressures: 1/mu averaged along the pressure drop [Pa.s].
  ///
  ///     1/mu_film = (1/(p1-p2)) * integral dp/mu(p) = (1/mu_mid)*sinh(x)/x      x = alpha*(p1-p2)/2
  ///
  /// mu_mid is the viscosity at the mean pressure. Source: integral of Barus; symmetric in the two pressures.
  template <class S>
  S film_viscosity(const S& p1, const S& p2) const {
    const S x = 0.5 * pressure_viscosity * (p1 - p2);
    const S y = x * x;
    // sinh(x)/x as its series: no 0/0 at equal pressures. What is cut off stays below 1e-14 for |x| < 1, that is to
    // 100 MPa at alpha = 2e-8.
    const S tail = 1.0 + y * (1.0 / 110) * (1.0 + y * (1.0 / 156) * (1.0 + y * (1.0 / 210)));
    const S shape =
        1.0 + y * (1.0 / 6) * (1.0 + y * (1.0 / 20) * (1.0 + y * (1.0 / 42) * (1.0 + y * (1.0 / 72) * tail)));
    return viscosity_at(S(0.5 * (p1 + p2))) / shape;
  }
};

}  // namespace railseep
