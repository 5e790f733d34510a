#include "procedure/hold_reading.hpp"

#include <cmath>
#include <numbers>
#include <random>

namespace railseep {

namespace {

/// Normal, by Box and Muller: the standard's own distributions differ between libraries.
double normal(std::mt19937_64& random) {
  const auto uniform = [&] { return (static_cast<double>(random() >> 11) + 0.5) * 0x1p-53; };
  const double r = std::sqrt(-2 * std::log(uniform()));
  return r * std::cos(2 * std::numbers::pi * uniform());
}

/// Log-normal, so that nothing leaks inwards.
double scale_of_run(bool reconnected, const HoldScatter& scatter, std::mt19937_64& random) {
  return std::exp((reconnected ? scatter.reconnected : scatter.rerun) * normal(random));
}

}  // namespace

double fall_time_as_read(double time, bool reconnected, std::uint64_t seed, const HoldScatter& scatter) {
  std::mt19937_64 random(seed);
  return time / scale_of_run(reconnected, scatter, random);
}

}  // namespace railseep
