#pragma once

#include <numbers>

namespace railseep {

// NIST SP 811 (2008), App. B.
inline constexpr double psi = 6894.757293168;         // [Pa]
inline constexpr double rpm = std::numbers::pi / 30;  // [rad/s]

}  // namespace railseep
