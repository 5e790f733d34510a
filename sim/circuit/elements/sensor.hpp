#pragma once

#include <algorithm>
#include <array>

#include "circuit/elements/port.hpp"

namespace railseep {

/// Rail pressure sensor: linear and lagging; no oil passes it.
///
///     tau*dp_s/dt = (p - p_to) - p_s            own state 0: p_s [Pa] gauge, the other side being the crankcase
///     shown pressure = max(0, gain_error*p_s + bias),     volts = zero + (gain_error*p_s + bias)/span
///
/// Source: rest volts 0.15..0.35 V and 0.80 V near 500 psi, workshop manuals (trade); lag assumed.
struct Sensor {
  double zero = 0.24;              // [V] at no pressure
  double span = 6e6;                // [Pa/V]
  double lag = 5e-3;               // tau [s]
  double bias = 0;                 // [Pa] that it reads too high
  double gain_error = 1;           // reads this many times the pressure [-]

  static constexpr std::string_view kind = "sensor";
  static constexpr int own_states = 1;
  static constexpr auto parameters() {
    using N = Sensor;
    return std::array{Parameter<N>{"zero", Quantity::voltage, &N::zero, 0, 5, "V", "volts at no pressure"},
                      Parameter<N>{"span_pressure", Quantity::pressure, &N::span, 1e5, 1e9, "psi", "pressure per volt"},
                      Parameter<N>{"lag", Quantity::time, &N::lag, 1e-4, 1, "ms", "time constant"},
                      Parameter<N>{"bias", Quantity::pressure, &N::bias, -5e7, 5e7, "psi", "reads so much too high", 0.0},
                      Parameter<N>{"gain_error", Quantity::ratio, &N::gain_error, 0.01, 10, "x", "reads so many times the pressure", 1.0}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil&) const {
    return S(0.0 * port.from);
  }

  template <class S>
  std::array<S, 2> own_rates(const Ports<S>& port, const Signals<S>&) const {
    return {S((port.from - port.to - port.own[0]) / lag), S(0.0 * port.from)};
  }

  double shown_pressure(double lagged) const { return std::max(0.0, gain_error * lagged + bias); }
  double volts(double lagged) const { return std::clamp(zero + (gain_error * lagged + bias) / span, 0.0, 5.0); }

  static constexpr std::array<double, 2> own_start{0, 0};
  static constexpr std::array<double, 2> own_scale{1e6, 1.0};
};

}  // namespace railseep
