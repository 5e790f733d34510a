#include "drive/coil.hpp"

#include <cmath>

namespace railseep {

void WarmingCoil::heat(double power, double dt) {
  const double settled = power * thermal_resistance;
  warming_ = settled + (warming_ - settled) * std::exp(-dt / (thermal_resistance * thermal_capacity));
}

}  // namespace railseep
