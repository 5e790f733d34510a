#pragma once

#include <array>
#include <cmath>

namespace railseep {

/// One-third octave bands a person hears a hiss in, 125 Hz to 16 kHz: centres 1000*10^(n/10) Hz. Source: IEC 61260-1
/// (base-ten system).
inline constexpr int band_count = 22;
using BandLevels = std::array<double, band_count>;  // [dB]

inline double band_centre(int band) { return 1000.0 * std::pow(10.0, (band - 9) / 10.0); }

/// A-weighting [dB]. Source: IEC 61672-1, analytical form with f1 20.60, f2 107.7, f3 737.9, f4 12194 Hz (from memory).
inline double a_weighting(double f) {
  const double f2 = f * f, a = 12194.0 * 12194.0;
  const double response =
      a * f2 * f2 / ((f2 + 20.60 * 20.60) * std::sqrt((f2 + 107.7 * 107.7) * (f2 + 737.9 * 737.9)) * (f2 + a));
  return 20.0 * std::log10(response) + 2.0;
}

inline double from_level(double level) { return std::pow(10.0, 0.1 * level); }
inline double to_level(double energy) { return energy > 1e-30 ? 10.0 * std::log10(energy) : -300.0; }

/// Sources that have nothing to do with each other add their energies.
inline double add_levels(double a, double b) { return to_level(from_level(a) + from_level(b)); }

inline double a_weighted_level(const BandLevels& bands) {
  double energy = 0;
  for (int i = 0; i < band_count; ++i) energy += from_level(bands[i] + a_weighting(band_centre(i)));
  return to_level(energy);
}

}  // namespace railseep
