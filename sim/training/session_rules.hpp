#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "quantity/error.hpp"
#include "training/session.hpp"

// What the parts of a session share: the rules of its shop, and a few words.

namespace railseep {

/// Minutes of a shop that no catalogue gives, and limits that cautions name.
namespace shop_rule {
inline constexpr double minute = 60;                             // [s]
inline constexpr double longest_crank = 30, longest_pulse = 10;  // cautions "starter" and "coil time" [s]
inline constexpr double little_bits = 0.02;                      // what a check must tell not to be redundant, assumed
inline constexpr double unlikely = 0.03;                         // probability that makes a step illogical, assumed
inline constexpr double air_that_matters = 0.03;                 // share of the volume, assumed
}  // namespace shop_rule

/// A move that cannot be done so: it is kept, costs nothing and counts as out of bounds.
struct Session::Refused {
  std::string why;
};

inline std::string whole_number(double value) { return std::to_string(static_cast<long long>(std::llround(value))); }
inline std::string share_words(double share) { return share < 0.005 ? "under 1 %" : whole_number(100 * share) + " %"; }

inline bool among(const std::vector<std::string>& words, std::string_view word) {
  return std::ranges::count(words, word) > 0;
}

inline std::string pressure_words(const FaultTable& table, double p) {
  return format_quantity(p, Quantity::pressure, table.units.pressure, 3);
}

inline std::string temperature_words(const FaultTable& table, double t) {
  return format_quantity(t, Quantity::temperature, table.units.temperature, 2);
}

/// The name that was meant: whole, or the only one that begins with it or holds it. @throws Error that names them
std::string meant_name(const std::string& meant, const std::vector<std::string>& names, const std::string& what);

inline constexpr const char* injection_wound =
    "A jet of oil goes through the skin, hardly felt at first; such a wound costs fingers. Key off, wait, confirm rest "
    "volts (release).";

}  // namespace railseep
