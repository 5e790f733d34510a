#pragma once

namespace railseep {

/// Warmth of the regulator's coil: one thermal node, fed by i^2*R, cooled to its surroundings.
///
///     C*dT/dt = P - (T - T_around)/R_th       over one sample with P held: T - T_around = P*R_th + (T_0 - T_around -
///     P*R_th)*exp(-t/(R_th*C))
///
/// Source: one-node heating; damage limits by insulation class IEC 60085: 130 degC (B), 155 (F), 180 (H) (from memory).
/// The thermal
///         resistance and capacity of the shipped regulators are assumed. Leaves out: heat taken by the oil that flows
///         past.
class WarmingCoil {
 public:
  static constexpr double thermal_resistance = 8;       // R_th [K/W]
  static constexpr double thermal_capacity = 20;        // C [J/K]
  static constexpr double damage_temperature = 428.15;  // class F, 155 degC [K]

  /// Goes on for dt [s] with a power [W] put in.
  void heat(double power, double dt);

  double warming() const { return warming_; }  // above its surroundings [K]

 private:
  double warming_ = 0;
};

}  // namespace railseep
