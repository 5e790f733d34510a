#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "decide/hypothesis.hpp"
#include "decide/showing.hpp"

namespace railseep {

/// Whether an engine starts with a fault of one size, hot and cold, and how fast it cranks.
struct FaultyStarts {
  std::array<double, 4> ln_p{};  // no start hot, start hot, no start cold, start cold
  double speed = 1;              // cranking speed [rad/s]
};

/// What takes most of the time of a fault table: what each possibility shows, and whether it starts.
struct ComputedFaults {
  Showings shows;
  std::vector<FaultyStarts> starts;
};

/// Computed faults of one circuit in a folder, so that the next exercise on the same engine begins at once. A file that
/// is of another program, circuit or list of possibilities, or is damaged, counts as none; one that cannot be written
/// is done without.
class KeptFaults {
 public:
  /// @param folder may not exist yet; empty: nothing is kept
  KeptFaults(const std::string& folder, const Circuit& circuit, const Belief& belief, const ShowingNeeds& needs);

  std::optional<ComputedFaults> read() const;
  void keep(const ComputedFaults& computed) const;

 private:
  std::string file_, of_;  // of_: fingerprint of all that they depend on
};

}  // namespace railseep
