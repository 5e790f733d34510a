#pragma once

#include "circuit/circuit.hpp"

namespace railseep {

/// The engine's control module as the oil side feels it: reads the sensor at its own sample time, sends the regulator a
/// duty.
///
///     duty = clamp(start*wanted/wanted_crank + Kp*e + I),   e = wanted - read,   dI = Kp*e*dt/Ti
///
/// I stands still while the duty is at a limit and e pushes on. While cranking wanted depends on oil temperature; with
/// the engine running on speed, plus what cranking asks more of oil colder than the map's hottest. Source: feed-forward
/// plus PI with anti-windup by conditional integration, textbook control; the settings of the shipped circuits are
/// assumed.
class ControlModule {
 public:
  ControlModule(const ControlSettings& settings, double oil_temperature);

  /// One sample. @param read sensor pressure, gauge [Pa]; @return duty [-] until the next sample
  double sample(double read);

  /// One sample without a believable reading: the feed-forward alone. @return duty [-]
  double sample_blind() const;

  /// The oil's temperature [K] and the engine's speed [rad/s] are these from now on.
  void observe(double oil_temperature, double speed, bool running);

  /// Someone else commands the pressure (a regulator step test). Holds until the next observe().
  void command(double wanted) { wanted_ = wanted; }

  double wanted() const { return wanted_; }  // gauge [Pa]

  /// Injection is allowed once the engine's position is known and the pressure read has come up. @param t cranking time
  /// [s]
  bool enables_injection(double t, double read) const {
    return t >= settings_.sync_time && read >= settings_.enable_pressure;
  }

 private:
  double feed_forward() const;

  ControlSettings settings_;
  double wanted_crank_ = 0, wanted_ = 0, integral_ = 0;
};

}  // namespace railseep
