#pragma once

#include <span>
#include <string>
#include <vector>

#include "circuit/faults.hpp"
#include "evidence/inspection.hpp"
#include "evidence/log_signs.hpp"
#include "evidence/reading.hpp"
#include "evidence/started.hpp"
#include "procedure/air_findings.hpp"

namespace railseep {

/// What was read, heard or checked at one engine with no log behind it.
struct Observations {
  std::vector<Reading> readings;   // values off a gauge or a tool
  std::vector<Started> starts;     // did it start?
  std::vector<AirFindings> air;    // shop-air tests
  std::vector<Inspection> checks;  // looked at or measured: good or bad
  std::vector<LogSigns> logs;      // what the logs say beside their pressures
  std::vector<std::string> notes;  // what was told and is not used, and why
  bool repaired = false;           // all this was after a repair: a sound engine is no longer a surprise

  bool empty() const { return readings.empty() && starts.empty() && air.empty() && checks.empty() && logs.empty(); }
};

/// ln p(all of it | the circuit with these faults in it), everything else about the engine at its typical value; what
/// is unsure about that is in the model's share of each error. Each procedure is computed once. @param faults those in
/// the circuit; none: nothing wrong on the oil side
double log_likelihood(const Observations& observations, const Circuit& faulty, std::span<const Fault> faults);

/// The part of it that sees only pressures and duty: the same for places that the model cannot tell apart. The other
/// part sees the place.
double pressure_log_likelihood(const Observations& observations, const Circuit& faulty, std::span<const Fault> faults);
double place_log_likelihood(const Observations& observations, const Circuit& faulty, std::span<const Fault> faults);

}  // namespace railseep
