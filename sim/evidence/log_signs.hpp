#pragma once

#include <optional>
#include <string>

#include "circuit/circuit.hpp"
#include "log/log.hpp"

namespace railseep {

/// What a log says beside its pressures: whether they are measured at all, and whether the module works the regulator.
struct LogSigns {
  std::string name;
  double substituted = 0;              // share of its pressures that a flag calls substituted [-]
  std::optional<double> shown, volts;  // means where the log has both pressure and sensor volts [Pa], [V]
  std::optional<bool> asleep;  // pressure far below the wanted one: did the duty stay at its floor all the while?
};

/// @throws nothing: a log without these columns gives no signs
LogSigns log_signs(const Log& log, const std::string& name);

/// ln p(signs | the circuit): a pressure is substituted when the module does not believe the volts; the duty sleeps
/// when its driver is dead.
double log_likelihood(const LogSigns& signs, const Circuit& circuit);

}  // namespace railseep
