#include "drive/starter.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

constexpr double reference_speed = 10.471975511965978, reference_viscosity = 0.1;  // 100 rpm; [Pa.s]

/// Times at which a run-up is drawn: closer together at the start.
std::vector<double> run_up_times(double time_constant, double duration) {
  std::vector<double> times;
  for (double t = 0; t < 9 * time_constant && t < duration; t += 0.1 * time_constant) times.push_back(t);
  times.push_back(duration);
  return times;
}

}  // namespace

Starter::Starter(const StarterSettings& settings, double viscosity, double battery)
    : settings_(settings),
      open_voltage_(settings.voltage * battery),
      constant_(settings.voltage / settings.free_speed) {
  const double falling = constant_ * constant_ / settings.resistance;  // motor torque lost for each rad/s
  const double oil = settings.oil_drag_torque * std::sqrt(viscosity / reference_viscosity) / reference_speed;
  const double stall = constant_ * open_voltage_ / settings.resistance;
  settled_ = std::max(0.0, (stall - settings.drag_torque) / (falling + oil));
  time_constant_ = settings.run_up_time * falling / (falling + oil);
}

double Starter::speed(double t) const { return settled_ * -std::expm1(-t / time_constant_); }

double Starter::voltage(double speed) const {
  const double current = (open_voltage_ - constant_ * speed) / settings_.resistance;
  return open_voltage_ - current * settings_.battery_resistance;
}

Profile Starter::speed_profile(double duration) const {
  const std::vector<double> times = run_up_times(time_constant_, duration);
  std::vector<double> values;
  for (const double t : times) values.push_back(speed(t));
  return Profile(times, values);
}

Profile Starter::battery_profile(double duration) const {
  const std::vector<double> times = run_up_times(time_constant_, duration);
  std::vector<double> values;
  for (const double t : times) values.push_back(voltage(speed(t)));
  return Profile(times, values);
}

}  // namespace railseep
