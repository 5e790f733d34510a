// Friction in the regulator's spool: the loop that pressure makes while its command rises and falls slowly.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "circuit/elements/regulator.hpp"

namespace railseep {
namespace {

/// A regulator behind a pump that gives a constant flow into a small volume; its current is led by hand.
struct Bench {
  Regulator regulator;
  Oil oil;
  double flow, pressure, opening = 0.5;

  Bench(double friction, double at) : pressure(at) {
    regulator.friction = friction;
    // So much flow that the spool stands half open at this pressure.
    flow = Hole{regulator.diameter}.flow_through_part(at, 0.5, oil);
  }

  double current_for(double set_pressure) const {
    return regulator.dead_current + (set_pressure - regulator.spring_pressure) / regulator.pressure_slope;
  }

  /// Leads the set pressure there in a straight line. @return pressure at the end, gauge
  double lead(double from, double to, double seconds) {
    constexpr double step = 2e-5, stiffness = 1e9 / 1e-3;  // [s]; K/V [Pa/m3]
    const int steps = static_cast<int>(seconds / step);
    for (int i = 0; i < steps; ++i) {
      const double current = current_for(from + (to - from) * (i + 1) / steps);
      const Ports<double> port{atmospheric_pressure + pressure, atmospheric_pressure, {current, opening}};
      pressure += step * stiffness * (flow - regulator.volume_flow(port, {}, oil));
      opening += step * regulator.own_rates(port, Signals<double>{0, 0}, oil)[1];
    }
    return pressure;
  }

  /// Pressure while a falling command passes the middle, less that while a rising one does [Pa].
  double loop(double middle) {
    lead(middle, middle - 3e6, 0.2);
    const double rising = lead(middle - 3e6, middle, 1);
    lead(middle, middle + 3e6, 0.2);
    const double falling = lead(middle + 3e6, middle, 1);
    return falling - rising;
  }
};

// The spool moves where smooth_step(u) = 1/2 +- h/(1 + 4h) about the half open place, and the inverse of the smooth
// step is 1/2 - sin(asin(1 - 2s)/3): between the two lie 2*override*(1 + 4h)*sin(asin(2h/(1 + 4h))/3) at most. A
// command that rises closes the spool, which holds back: less pressure than when it falls.
TEST(RegulatorHysteresis, LoopIsAsWideAsItsFrictionSaysAndRisingCommandsGiveLess) {
  for (const double h : {0.05, 0.1, 0.2}) {
    Bench bench(h, 1e7);
    // At 3 MPa/s the opening, with the root of the pressure, goes by 0.075 a second and the spool by two thirds of
    // that: so slow a spool creeps within the corner of its dead zone, which is rounded by a tenth of h.
    const double creep = 0.05 * bench.regulator.lag, edge = h + 0.1 * h * std::log(std::expm1(creep / (0.1 * h)));
    const double wide =
        2 * bench.regulator.override_pressure * (1 + 4 * h) * std::sin(std::asin(2 * edge / (1 + 4 * h)) / 3);
    EXPECT_NEAR(bench.loop(9.5e6) / wide, 1, 0.2) << h;
  }
}

TEST(RegulatorHysteresis, WithoutFrictionThereIsNoLoop) {
  Bench bench(0, 1e7);
  EXPECT_NEAR(bench.loop(9.5e6), 0, 0.01 * bench.regulator.override_pressure);  // what a spool with a lag is late
}

// Within the dead zone the spool stands: half open it does not move while the pressure over it changes by less than the
// loop is wide.
TEST(RegulatorHysteresis, SpoolStandsWithinItsDeadZone) {
  const double h = 0.1;
  Bench bench(h, 1e7);
  const double half = bench.regulator.override_pressure * (1 + 4 * h) * std::sin(std::asin(2 * h / (1 + 4 * h)) / 3);
  const double middle =
      1e7 - 0.5 * bench.regulator.override_pressure;  // set so that the spool stands half open at 10 MPa
  const auto rate = [&](double aside) {
    const Ports<double> port{
        atmospheric_pressure + 1e7 + aside, atmospheric_pressure, {bench.current_for(middle), 0.5}};
    return bench.regulator.own_rates(port, Signals<double>{0, 0}, bench.oil)[1] * bench.regulator.lag;
  };
  for (const double share : {-0.6, -0.3, 0.0, 0.3, 0.6}) EXPECT_NEAR(rate(share * half), 0, 0.003) << share;
  EXPECT_GT(rate(1.5 * half), 0.02);
  EXPECT_LT(rate(-1.5 * half), -0.02);
}

}  // namespace
}  // namespace railseep
