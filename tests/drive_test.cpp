// Coil, starter, control module, sensor: what drives the oil side and what is read of it.

#include <gtest/gtest.h>

#include <cmath>

#include "drive/coil.hpp"
#include "drive/control_module.hpp"
#include "drive/starter.hpp"
#include "fluid/grade.hpp"
#include "reference_table.hpp"
#include "shipped_circuits.hpp"
#include "units.hpp"

namespace railseep {
namespace {

// Row 10f: 10 W into 8 K/W and 20 J/K.
TEST(WarmingCoil, WarmsLikeOneThermalNode) {
  for (const ReferenceRow& row : reference_table("coil_lump.csv")) {
    WarmingCoil once, often;
    once.heat(10, row["time"]);
    for (int i = 0; i < 1000; ++i) often.heat(10, row["time"] / 1000);
    EXPECT_NEAR(once.warming(), row["rise"], 1e-4 * row["rise"]);
    EXPECT_NEAR(often.warming(), once.warming(), 1e-9 * once.warming()) << "the sample time must not matter";
  }
}

// Row 10g: 8 ohm at 20 degC, 8 V, 8 K/W, surroundings 20 degC: settles at 72.972206 degC and 9.665446 ohm.
TEST(WarmingCoil, SettlesWhereCopperAndHeatBalance) {
  Regulator regulator;
  regulator.resistance = 8, regulator.coil_temperature = 293.15;
  WarmingCoil coil;
  for (int i = 0; i < 400000; ++i) {
    const double r = regulator.hot_resistance(coil.warming());
    coil.heat(64 / r, 0.01);
  }
  EXPECT_NEAR(20 + coil.warming(), 72.972206, 1e-4);
  EXPECT_NEAR(regulator.hot_resistance(coil.warming()), 9.665446, 1e-6 * 9.665446);
}

// Row 10b: R2/R1 = 1.25 from 20 degC is 83.625 degC by the 234.5 rule.
TEST(WarmingCoil, TellsItsTemperatureByItsResistance) {
  Regulator regulator;
  regulator.coil_temperature = 83.625 + 273.15;
  EXPECT_NEAR(regulator.hot_resistance() / regulator.resistance, 1.25, 0.05 * 0.00393);
}

// Row 10d, mean current with an ideal freewheel diode.
TEST(WarmingCoil, MeanCurrentIsDutyTimesVoltageOverResistance) {
  Regulator regulator;
  regulator.resistance = 8;
  for (const ReferenceRow& row : reference_table("coil_pwm.csv"))
    EXPECT_NEAR(regulator.mean_voltage(row["duty"], 12.6) / 8, row["current"], 1e-9);
}

TEST(Regulator, WiringAndGroundDecideWhatTheCoilGets) {
  Regulator regulator;
  regulator.wiring = 0;
  EXPECT_EQ(regulator.mean_voltage(0.85, 12), 0);
  regulator.wiring = 1, regulator.grounded = 1;
  EXPECT_EQ(regulator.mean_voltage(0.05, 12), 12);
}

// 8 degC of hot drift, resolution of a 10-bit converter 4.9 mV, limits 0.039 and 4.9 V, default 870 psi: workshop
// manuals, read (trade).
TEST(Sensor, ShowsWhatTheModuleMakesOfItsVolts) {
  Sensor sensor;
  sensor.zero = 0.24, sensor.span = 893 * psi;
  EXPECT_NEAR(sensor.shown_pressure(500 * psi), 500 * psi, 1);
  Sensor drifting = sensor;
  drifting.hot_drift = 2e4;
  EXPECT_NEAR(drifting.shown_pressure(3e6, 293.15), 3e6, 1);
  EXPECT_NEAR(drifting.shown_pressure(3e6, 363.15), 3e6 + 70 * 2e4, 1);
  Sensor stepped = sensor;
  stepped.resolution = 4.9e-3;
  for (double p = 0; p < 2e7; p += 1.7e5) {
    const double v = stepped.volts(p);
    EXPECT_NEAR(v / 4.9e-3, std::round(v / 4.9e-3), 1e-9);
    EXPECT_NEAR(v, sensor.volts(p), 0.5 * 4.9e-3 + 1e-12);
  }
  Sensor broken = sensor;
  broken.open_circuit = 1;
  EXPECT_EQ(broken.volts(5e6), 0);
  EXPECT_NEAR(broken.shown_pressure(5e6), 6e6, 1);  // 870 psi
  EXPECT_EQ(sensor.volts(1e9), 5);
  EXPECT_NEAR(sensor.shown_pressure(1e9), (5 - 0.24) * 893 * psi, 1);  // clipped
}

// Seen on trucks: 140 to 200 rpm; minimum 100 to 130 (trade, read). Slower cold, slower on weak batteries (common
// practice, no source).
TEST(Starter, TurnsAsFastAsTheTradeSees) {
  const StarterSettings settings;
  const OilGrade& grade = find_oil_grade("15W-40");
  const auto speed = [&](double celsius, double battery) {
    return Starter(settings, oil_at(grade, celsius + 273.15).viscosity, battery).settled_speed() / rpm;
  };
  EXPECT_GT(speed(90, 1), 180);
  EXPECT_LT(speed(90, 1), 200);
  EXPECT_GT(speed(20, 1), 150);
  EXPECT_LT(speed(20, 1), 180);
  EXPECT_LT(speed(-10, 1), 130);
  EXPECT_LT(speed(90, 0.85), speed(90, 1));
  EXPECT_EQ(speed(90, 0.1), 0);
}

TEST(Starter, BalancesTorqueWhenSettledAndRunsUpFromRest) {
  const StarterSettings s;
  const Starter starter(s, 0.1);
  const double omega = starter.settled_speed(), k = s.voltage / s.free_speed;
  const double current = (s.voltage - k * omega) / s.resistance;
  EXPECT_NEAR(k * current, s.drag_torque + s.oil_drag_torque * omega / (100 * rpm), 1e-9 * k * current);
  EXPECT_NEAR(starter.voltage(omega), s.voltage - current * s.battery_resistance, 1e-12);
  EXPECT_EQ(starter.speed(0), 0);
  EXPECT_NEAR(starter.speed(10), omega, 1e-9);
  const Profile drawn = starter.speed_profile(6);
  for (double t = 0; t < 6; t += 0.013) EXPECT_NEAR(drawn.at(t), starter.speed(t), 2e-3 * omega) << t;
}

TEST(ControlModule, ObeysItsMapCeilingAndEnable) {
  const ControlSettings settings = head_rail_v8().control;
  ControlModule module(settings, 293.15);
  const double cold = module.wanted();
  module.observe(363.15, 0, false);
  EXPECT_LT(module.wanted(), cold);
  module.observe(363.15, 650 * rpm, true);
  EXPECT_NEAR(module.wanted(), 580 * psi, 1);
  module.observe(363.15, 3300 * rpm, true);
  EXPECT_NEAR(module.wanted(), 2600 * psi, 1);
  module.observe(363.15, 0, false);
  double duty = 0;
  for (int i = 0; i < 2000; ++i) duty = module.sample(0);
  EXPECT_EQ(duty, 0.65);  // ceiling of this layout
  // Anti-windup: after 20 s at the ceiling one reading above the wanted pressure brings the duty down at once.
  EXPECT_LT(module.sample(module.wanted() + 3e6), 0.65);
  EXPECT_FALSE(module.enables_injection(5, 3.4e6));
  EXPECT_TRUE(module.enables_injection(5, 3.6e6));
  EXPECT_FALSE(module.enables_injection(0.1, 3.6e6));
}

}  // namespace
}  // namespace railseep
