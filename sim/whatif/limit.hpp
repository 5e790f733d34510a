#pragma once

#include <optional>
#include <string>
#include <vector>

#include "circuit/faults.hpp"
#include "procedure/engine_run.hpp"

namespace railseep {

/// Cranking time until the engine runs up by itself, at most so long [s]; nothing when it does not.
std::optional<double> time_to_start(const Circuit& circuit, const Condition& condition, double longest);

/// How the edge is looked for.
struct LimitOptions {
  double longest = 10;      // cranked at a go [s]
  double precision = 0.01;  // of the edge, as a share of it (of the range, for a severity that may be 0) [-]
};

/// The edge between starting and not, for one kind of fault at one place.
struct Limit {
  double least, most;                   // severities looked at, SI
  std::optional<double> start_without;  // time to start without this fault [s]; nothing: it does not start anyway
  bool starts_throughout = false;       // even the worst severity looked at lets it start
  std::optional<double>
      edge;  // the worst severity with which it still starts, SI; nothing: even the mildest keeps it from starting
  double time_at_edge = 0;  // to start [s]
};

/// How bad a fault may be before the engine no longer starts, by bisection over whole cranks with the engine free to
/// fire.
///
/// The milder end of the kind's range is the one with which it starts; one edge between the ends is assumed, as holds
/// for every kind of fault that only takes pressure away.
/// @param fault its severity does not count. @param others stay in the circuit. @throws Error for a fault its place can
/// not have
Limit limit_of(const Circuit& circuit, const Fault& fault, const std::vector<Fault>& others, const Condition& condition,
               const LimitOptions& options = {});

}  // namespace railseep
