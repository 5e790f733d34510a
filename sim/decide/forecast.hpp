#pragma once

#include <optional>

#include "decide/check.hpp"
#include "decide/outcome.hpp"
#include "decide/showing.hpp"
#include "hearing/hear.hpp"

namespace railseep {

/// A check as it can be done on this engine, and how probable each outcome is for each possibility.
struct Forecast {
  Check check;
  std::vector<std::string> outcomes;
  std::string
      ending;  // of what is said of each place, the last being none of them: " hisses more than on a sound engine"
  std::optional<Ranges> ranges;         // outcomes that are neighbouring ranges of a reading
  std::vector<HeardWord> sound_engine;  // outcomes that are places: what a sound engine lets one hear there
  Eigen::MatrixXd likelihood;           // one row a possibility, one column an outcome; rows add up to 1
  std::vector<std::string> notes;       // what is assumed of it
};

/// What must be computed for these checks on this circuit.
ShowingNeeds needs_of(const Circuit& circuit, const std::vector<Check>& checks);

/// The checks that this engine can have, with the outcomes that each possibility predicts. Left out: what the circuit
/// has no part for, and what the evidence makes pointless (charging batteries that crank well).
std::vector<Forecast> forecasts(const Circuit& circuit, const Belief& belief, const Showings& shows,
                                const std::vector<Check>& checks, const std::string& pressure_unit);

}  // namespace railseep
