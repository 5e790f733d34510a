#include "hearing/jet_noise.hpp"

#include <algorithm>
#include <cmath>

#include "fluid/air.hpp"

namespace railseep {

JetNoise jet_noise(const Jet& jet) {
  JetNoise noise;
  const double p1 = jet.upstream, p2 = jet.downstream, k = jet.gamma, m = jet.mass_flow;
  if (!(m > 0 && p1 > p2 && jet.diameter > 0)) return noise;
  constexpr double efficiency_at_sonic = -3.8, strouhal = 0.2;  // An, Stp
  const double a = std::pow(10.0, efficiency_at_sonic), fl2 = jet.recovery * jet.recovery;
  const double x = (p1 - p2) / p1, x_vcc = 1.0 - std::pow(2.0 / (k + 1.0), k / (k - 1.0)), xc = fl2 * x_vcc;
  const double alpha = (1.0 - x_vcc) / (1.0 - xc);
  const double x_b = 1.0 - std::pow(1.0 / k, k / (k - 1.0)) / alpha, x_ce = 1.0 - 1.0 / (22.0 * alpha);
  noise.regime = x <= xc ? 1 : x <= x_vcc ? 2 : x <= x_b ? 3 : x <= x_ce ? 4 : 5;

  if (noise.regime == 1) {
    const double left = 1.0 - x / fl2;  // pressure ratio at the vena contracta
    const double mach = std::sqrt(2.0 / (k - 1.0) * (std::pow(left, (1.0 - k) / k) - 1.0));
    const double sound = std::sqrt(k * p1 / jet.density * std::pow(left, (k - 1.0) / k));
    noise.mechanical_power = 0.5 * m * mach * sound * mach * sound;
    noise.efficiency = a * fl2 * mach * mach * mach;
    noise.peak_frequency = strouhal * mach * sound / jet.diameter;
  } else {
    const double sound = std::sqrt(2.0 * k * p1 / ((k + 1.0) * jet.density));
    const auto mach_at = [&](double ratio) {
      return std::sqrt(2.0 / (k - 1.0) * (std::pow(ratio, (k - 1.0) / k) - 1.0));
    };
    const double mach = std::min(mach_at(1.0 / (alpha * (1.0 - x))), mach_at(22.0));
    noise.mechanical_power = 0.5 * m * sound * sound;
    if (noise.regime <= 3) {
      noise.efficiency = a * (noise.regime == 2 ? x / x_vcc : 1.0) * std::pow(mach, 6.6 * fl2);
      noise.peak_frequency = strouhal * mach * sound / jet.diameter;
    } else {
      noise.efficiency = 0.5 * a * mach * mach * std::pow(2.0, 3.3 * fl2);
      noise.peak_frequency = 1.4 * strouhal * sound / (jet.diameter * std::sqrt(mach * mach - 1.0));
    }
  }
  noise.power = noise.efficiency * noise.mechanical_power;
  return noise;
}

double jet_band_level(double f, double fp) {
  return -8.0 - 10.0 * std::log10((1.0 + std::pow(0.5 * f / fp, 2.5)) * (1.0 + std::pow(0.5 * fp / f, 1.7)));
}

double power_level(double power) { return 10.0 * std::log10(power / 1e-12); }

double exit_pressure(double mass_flow, double nozzle, double upstream, double downstream, double temperature) {
  const double wanted = mass_flow * std::sqrt(Air::gas_constant * temperature) / nozzle;
  double low = downstream, high = upstream;
  for (int i = 0; i < 60; ++i) {
    const double p = 0.5 * (low + high);
    (p * nozzle_function(downstream / p) < wanted ? low : high) = p;
  }
  return 0.5 * (low + high);
}

}  // namespace railseep
