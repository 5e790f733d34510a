#include "circuit/node_view.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

constexpr double cavity = 1e3;       // oil without air is pulled apart below this absolute pressure [Pa]
constexpr double least_air = 1e-12;  // less air than this share of a volume is none
constexpr double last_step = 1e-4;   // of the pressure: a step so short ends the search

/// With the secant modulus of oil of its second order, and isothermal air, what a volume holds is a quadratic in its
/// pressure: solved twice, the second time with the modulus at what the first time gave.
double first_guess(double filled, double air, const Oil& oil) {
  const double p0 = Oil::p0;
  double p = p0;
  for (int i = 0; i < 2; ++i) {
    const double secant = oil.bulk_modulus + 0.5 * std::max(0.0, oil.bulk_modulus_slope - 1.0) * (p - p0);
    const double b = -(p0 + air * p0) / secant - filled, c = -air * p0 * (1.0 - p0 / secant);
    const double root = std::sqrt(b * b - 4.0 * c / secant);
    p = b < 0 ? 0.5 * secant * (root - b) : -2.0 * c / (b + root);
  }
  return p;
}

/// What does not fit at p, relative to the oil of a full volume, F = s - (1 + s)*a*e - filled, with its derivatives by
/// p.
struct Misfit {
  double value, slope, bend, twist;  // F, F', F'', F'''
  double weight, growth;             // (1 + s)*e and its logarithmic slope

  Misfit(double p, double filled, double air, const Oil& oil) {
    const double m = oil.bulk_modulus_slope, n = oil.gas.exponent;
    const double s = oil.compression_at(p), w = 1.0 + s, expansion = oil.gas.expansion(p), e = air * expansion;
    const double k = 1.0 / oil.bulk_modulus_at(p), b = 1.0 / (n * p);  // w' = w*k, e' = -e*b, k' = -m*k^2, b' = -n*b^2
    const double kk = m * k * k, bb = n * b * b;
    const double g = k + e * (b - k), g1 = -kk - e * b * (b - k) - e * (bb - kk);
    const double g2 =
        2.0 * m * kk * k + e * (b * b * (b - k) + bb * (b - k) + 2.0 * b * (bb - kk) + 2.0 * (n * bb * b - m * kk * k));
    value = s - w * e - filled;
    slope = w * g;
    bend = w * (k * g + g1);
    twist = w * ((k * k - kk) * g + 2.0 * k * g1 + g2);
    weight = w * expansion;
    growth = k - b;
  }
};

}  // namespace

NodeView MixtureVolume::view(double x, double g, const Oil& oil, double near) const {
  const double filled = x * per_oil_, air = g * per_volume_;
  if (air < least_air) return without_air(filled, oil);
  double p = near > 0 ? near : first_guess(filled, air, oil);
  for (int i = 0;; ++i) {
    const Misfit misfit(p, filled, air, oil);
    const double per_slope = 1.0 / misfit.slope, newton = -misfit.value * per_slope;
    if (std::abs(newton) > last_step * p && i < 50) {
      p = std::max(p + newton, 0.1 * p);
      continue;
    }
    // The inverse of F to third order: what is left is some (newton/p)^4, below rounding. The slopes go along, to
    // second order.
    const double c2 = 0.5 * misfit.bend * per_slope, c3 = misfit.twist * per_slope * (1.0 / 6);
    const double step = newton * (1.0 - newton * (c2 - newton * (2.0 * c2 * c2 - c3)));
    const double flatter = step * (2.0 * c2 + 3.0 * c3 * step),
                 by_filled = per_slope * (1.0 - flatter * (1.0 - flatter));
    const double weight = misfit.weight * (1.0 + step * misfit.growth);
    return {p + step,
            oil.density * (1.0 + filled),
            air,
            by_filled * per_oil_,
            weight * by_filled * per_volume_,
            per_volume_,
            0,
            per_volume_};
  }
}

NodeView MixtureVolume::without_air(double filled, const Oil& oil) const {
  const double k = oil.bulk_modulus, m = oil.bulk_modulus_slope;
  const double beyond =
      m == 0 ? k * std::log1p(filled) : k * std::expm1(m * std::log1p(filled)) / m;  // oil alone, above p0
  const double alone = Oil::p0 + beyond, share = alone >= cavity ? 1.0 : cavity / (2.0 * cavity - alone);
  const double p = alone >= cavity ? alone : cavity * share, content = oil.density * (1.0 + filled);
  const double by_oil = share * share * (k + m * beyond) / (1.0 + filled) * per_oil_;
  return {p, content, 0, by_oil, by_oil * content * oil.gas.expansion(p), per_volume_, 0, per_volume_};
}

}  // namespace railseep
