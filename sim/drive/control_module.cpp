#include "drive/control_module.hpp"

#include <algorithm>

#include "drive/profile.hpp"

namespace railseep {

namespace {

double in_map(const std::vector<std::pair<double, double>>& map, double at) {
  std::vector<double> x, y;
  for (const auto& [point, value] : map) x.push_back(point), y.push_back(value);
  return Profile(x, y).at(at);
}

}  // namespace

ControlModule::ControlModule(const ControlSettings& settings, double oil_temperature) : settings_(settings) {
  observe(oil_temperature, 0, false);
}

void ControlModule::observe(double oil_temperature, double speed, bool running) {
  wanted_crank_ = in_map(settings_.wanted_pressure, oil_temperature);
  wanted_ = wanted_crank_;
  if (running && !settings_.running_pressure.empty())
    wanted_ = in_map(settings_.running_pressure, speed) + wanted_crank_ - settings_.wanted_pressure.back().second;
}

double ControlModule::feed_forward() const { return settings_.start_duty * wanted_ / wanted_crank_; }

double ControlModule::sample_blind() const {
  return std::clamp(feed_forward(), settings_.least_duty, settings_.most_duty);
}

double ControlModule::sample(double read) {
  const double e = wanted_ - read;
  const double push = settings_.proportional_gain * e;
  const double asked = feed_forward() + push + integral_;
  const double duty = std::clamp(asked, settings_.least_duty, settings_.most_duty);
  const bool winding = (asked > settings_.most_duty && e > 0) || (asked < settings_.least_duty && e < 0);
  if (!winding) integral_ += push * settings_.sample_time / settings_.integral_time;
  return duty;
}

}  // namespace railseep
