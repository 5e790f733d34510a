#pragma once

#include <functional>

#include "channel/trace.hpp"
#include "circuit/air/air_network.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {

/// An air network while time passes: steps it, writes its trace, and stops when the gauge has fallen to a pressure.
class AirRun {
 public:
  AirRun(AirNetwork network, AirNetwork::State start, double output_interval, double tolerance);
  AirRun(const AirRun&) = delete;
  AirRun& operator=(const AirRun&) = delete;

  const AirNetwork& network() const { return network_; }
  const AirNetwork::State& state() const { return stepper_.current_state(); }
  const AirSignals& signals() const { return signals_; }
  double time() const { return stepper_.current_time(); }
  double gauge() const { return network_.pressure(state(), network_.gauge()) - atmospheric_pressure; }  // [Pa]

  /// What reaches it from here on; the supply may rise in a straight line.
  void set_signals(const AirSignals& signals);
  void set_exponent(double exponent) { network_.set_exponent(exponent, stepper_.current_state()); }

  /// Goes on for so long.
  void advance(double duration) { fall_to(-1e9, duration); }
  /// Until the gauge has fallen to a pressure. @return the time it took [s], or the whole duration
  double fall_to(double gauge_pressure, double duration);

  Trace take() { return std::move(trace_); }

 private:
  AirSignals signals_at(double t) const;
  double gauge_of(const AirNetwork::State& state) const {
    return network_.pressure(state, network_.gauge()) - atmospheric_pressure;
  }
  double crossing(double gauge_pressure) const;
  void record(double t, const AirNetwork::State& state);

  AirNetwork network_;
  AirSignals signals_;
  double signals_since_ = 0, interval_, next_output_ = 0;
  DenseRosenbrock<> stepper_;
  Trace trace_;
};

}  // namespace railseep
