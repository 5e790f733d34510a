#pragma once

#include "circuit/circuit.hpp"
#include "drive/profile.hpp"

namespace railseep {

/// How fast a starter turns this engine, and what is left of the battery's voltage.
///
///     V0 - I*R = k*omega,   k*I = T_drag + T_oil*sqrt(mu/0.1 Pa.s)*omega/(100 rpm) + J*domega/dt       k =
///     V0_nominal/omega_free
///
/// Both lines are straight in omega, so the run-up is an exponential and the settled speed a quotient.
/// Source: permanent-magnet motor in steady state; the drag of lubricated bearings and pistons grows with about the
/// square root of
///         viscosity (mixed film; exponent from memory); numbers of StarterSettings assumed. Leaves out: compression
///         ripple, cooling battery.
class Starter {
 public:
  /// @param viscosity of the oil [Pa.s]; @param battery rested voltage as a share of the healthy one [-]
  Starter(const StarterSettings& settings, double viscosity, double battery = 1);

  double settled_speed() const { return settled_; }  // [rad/s]; 0 when it cannot turn the engine
  double speed(double t) const;                      // after cranking for t [s]
  double voltage(double speed) const;                // at the module [V]

  Profile speed_profile(double duration) const;
  Profile battery_profile(double duration) const;

 private:
  StarterSettings settings_;
  double open_voltage_, constant_, settled_, time_constant_;
};

}  // namespace railseep
