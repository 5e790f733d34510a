#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "channel/trace.hpp"
#include "procedure/condition.hpp"

namespace railseep {

/// What was done to the engine, and in which condition, when something was read, heard or noticed.
struct Situation {
  enum class Done { key_on, crank, idle, key_off };  // key off: after a crank without injection

  Done done = Done::crank;
  std::string block;                // plugged during the crank: the pump isolation test; empty: none
  std::string oil;                  // grade, empty: the circuit's
  double oil_temperature = 293.15;  // [K]
  std::optional<double> speed;      // [rad/s]; not told: what the starter makes of it
  std::optional<double> battery;    // at the module while cranking [V]
  std::optional<double> rest_air;   // [-]
  double rest_time = 0;             // stood before [s]
  double cranked = 5;               // [s]

  bool operator==(const Situation&) const = default;
  Condition condition() const;
};

/// The procedures of one circuit, each computed once however many observations share it.
class Procedures {
 public:
  explicit Procedures(const Circuit& circuit) : circuit_(circuit) {}

  const Circuit& circuit() const { return circuit_; }

  /// The crank, idle or fall after key-off; of a key-on nothing moves and there is none. @param firing the injectors
  /// take their shots while cranking
  const Trace& trace(const Situation& situation, bool firing = false);

  static constexpr double tolerance = 1e-4;  // as cheap as it may be: a reading is never that good
  static constexpr double watched = 60;      // after key-off [s]

 private:
  struct Done {
    Situation situation;
    bool firing;
    Trace trace;
  };
  const Circuit& circuit_;
  std::vector<std::unique_ptr<Done>> done_;
};

/// Mean over the last fifth of a trace, the plateau that a technician reads off.
double plateau(const Trace& trace, std::string_view channel);
double peak(const Trace& trace, std::string_view channel);

}  // namespace railseep
