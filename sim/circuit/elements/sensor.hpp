#pragma once

#include <algorithm>
#include <array>
#include <cmath>

#include "circuit/elements/port.hpp"

namespace railseep {

/// Rail pressure sensor: linear and lagging; no oil passes it. What it shows is worked out where it is read, not in the
/// differential equation.
///
///     tau*dp_s/dt = (p - p_to) - p_s            own state 0: p_s [Pa] gauge, the other side being the crankcase
///     volts = clip(round(zero + (gain_error*p_s + bias + hot_drift*(T - 20 degC))/span), 0, 5),   rounded to steps of
///     the resolution shown = max(0, (volts - zero)*span),   or the module's default when a broken wire makes the volts
///     impossible (below 0.039 or above 4.9 V)
///
/// T is the oil's temperature. open_circuit is the share of the signal that a broken wire replaces by open_voltage. A
/// sensor that is merely biased is taken at its word: modules differ in how far they let it go. Source: rest volts
/// 0.15..0.35 V, 0.80 V near 500 psi, circuit low and high limits, default 6.0 MPa: workshop manuals (trade); lag
/// assumed.
struct Sensor {
  double zero = 0.24;             // [V] at no pressure
  double span = 6e6;              // [Pa/V]
  double lag = 5e-3;              // tau [s]
  double bias = 0;                // [Pa] that it reads too high
  double gain_error = 1;          // reads this many times the pressure [-]
  double hot_drift = 0;           // [Pa/K] that it reads higher with each kelvin above 20 degC
  double resolution = 0;          // [V], 0: none
  double open_circuit = 0;        // [-]
  double open_voltage = 0;        // [V]
  double default_pressure = 6e6;  // what the module assumes instead [Pa]

  static constexpr double least_volts = 0.039, most_volts = 4.9;  // what the module believes [V]

  static constexpr std::string_view kind = "sensor";
  static constexpr int own_states = 1;
  static constexpr auto parameters() {
    using N = Sensor;
    return std::array{
        Parameter<N>{"zero", Quantity::voltage, &N::zero, 0, 5, "V", "volts at no pressure"},
        Parameter<N>{"span_pressure", Quantity::pressure, &N::span, 1e5, 1e9, "psi", "pressure per volt"},
        Parameter<N>{"lag", Quantity::time, &N::lag, 1e-4, 1, "ms", "time constant"},
        Parameter<N>{"bias", Quantity::pressure, &N::bias, -5e7, 5e7, "psi", "reads so much too high", 0.0},
        Parameter<N>{"gain_error", Quantity::ratio, &N::gain_error, 0.01, 10, "x", "reads so many times the pressure",
                     1.0},
        Parameter<N>{"hot_drift", Quantity::pressure, &N::hot_drift, -1e6, 1e6, "psi",
                     "reads so much higher per K above 20 degC", 0.0},
        Parameter<N>{"resolution", Quantity::voltage, &N::resolution, 0, 1, "mV", "step of the volts", 0.0},
        Parameter<N>{"open_circuit", Quantity::ratio, &N::open_circuit, 0, 1, "%",
                     "share of the signal that a broken wire replaces", 0.0},
        Parameter<N>{"open_voltage", Quantity::voltage, &N::open_voltage, 0, 5, "V", "what the broken wire puts there",
                     0.0},
        Parameter<N>{"default_pressure", Quantity::pressure, &N::default_pressure, 0, 1e8, "psi",
                     "assumed by the module for impossible volts", 6e6}};
  }

  template <class S>
  S volume_flow(const Ports<S>& port, const Signals<S>&, const Oil&) const {
    return S(0.0 * port.from);
  }

  template <class S>
  std::array<S, 2> own_rates(const Ports<S>& port, const Signals<S>&, const Oil&) const {
    return {S((port.from - port.to - port.own[0]) / lag), S(0.0 * port.from)};
  }

  /// @param lagged p_s [Pa]; @param temperature T [K]
  double volts(double lagged, double temperature = 293.15) const {
    const double signal = zero + (gain_error * lagged + bias + hot_drift * (temperature - 293.15)) / span;
    const double wired = (1.0 - open_circuit) * signal + open_circuit * open_voltage;
    const double stepped = resolution > 0 ? resolution * std::round(wired / resolution) : wired;
    return std::clamp(stepped, 0.0, 5.0);
  }

  bool believed(double volts) const { return open_circuit < 0.5 || (volts >= least_volts && volts <= most_volts); }

  double shown_pressure(double lagged, double temperature = 293.15) const {
    const double v = volts(lagged, temperature);
    return believed(v) ? std::max(0.0, (v - zero) * span) : default_pressure;
  }

  std::array<double, 2> own_start() const { return {0, 0}; }
  static constexpr std::array<double, 2> own_scale{1e6, 1.0};
};

}  // namespace railseep
