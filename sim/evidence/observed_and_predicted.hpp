#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "evidence/observations.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

/// Something that was checked, heard, timed or metered, and what a circuit with a fault would have shown.
struct ObservedAndPredicted {
  std::string name;                   // "oil level", "air heard at the fill opening"
  std::string found, expected;        // in a word, and the likeliest word; of a number both are empty
  std::optional<double> probability;  // of the word that was found
  Quantity quantity = Quantity::ratio;
  std::optional<double> read,
      computed;  // of a number, SI; not read: it did not fall so far, not computed: it would not
};

/// The checks and air findings among the observations, with what the match weighs them by.
/// @param faulty the circuit with the faults in it. @throws Error for an unknown check or place
std::vector<ObservedAndPredicted> observed_and_predicted(const Observations& observations, const Circuit& faulty,
                                                         std::span<const Fault> faults);

}  // namespace railseep
