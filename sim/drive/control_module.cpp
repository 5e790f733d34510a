#include "drive/control_module.hpp"

#include <algorithm>

#include "drive/profile.hpp"

namespace railseep {

namespace {

double wanted_at(const std::vector<std::pair<double, double>>& map, double temperature) {
  std::vector<double> temperatures, pressures;
  for (const auto& [t, p] : map) temperatures.push_back(t), pressures.push_back(p);
  return Profile(temperatures, pressures).at(temperature);
}

}  // namespace

ControlModule::ControlModule(const ControlSettings& settings, double oil_temperature)
    : settings_(settings), wanted_(wanted_at(settings.wanted_pressure, oil_temperature)) {}

double ControlModule::sample(double read) {
  const double e = wanted_ - read;
  const double push = settings_.proportional_gain * e;
  const double asked = settings_.start_duty + push + integral_;
  const double duty = std::clamp(asked, settings_.least_duty, settings_.most_duty);
  const bool winding = (asked > settings_.most_duty && e > 0) || (asked < settings_.least_duty && e < 0);
  if (!winding) integral_ += push * settings_.sample_time / settings_.integral_time;
  return duty;
}

}  // namespace railseep
