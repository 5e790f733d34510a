#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/circuit.hpp"

namespace railseep {

/// What is wrong, where, and how badly: "left rail end plug", "hole", 0.0005.
struct Fault {
  std::string place;    // a site or a link of the circuit
  std::string kind;     // a word of fault_kinds()
  double severity = 0;  // SI, in the quantity of its kind
};

/// How a kind of fault changes a circuit: at a site it opens a leak; at a link it replaces, multiplies or shifts one
/// number.
struct FaultKind {
  enum class Change { opens_leak, sets, multiplies, adds };
  /// How the oil that a fault loses follows pressure and temperature: through a thin film (pressure over viscosity), a
  /// sharp-edged hole whose diameter the severity is (square root of pressure), a share of a valve's opening (the same,
  /// but the flow goes with the severity itself). `other`: it loses none, or not by one of these.
  enum class Law { film, hole, opening, other };
  std::string_view word;        // "stuck open"
  std::string_view applies_to;  // kind of link, "site", "supply" (a tank that a pump draws from), "reservoir" or
                                // "engine" (place "engine")
  Change change;
  LeakClass leak;        // of opens_leak
  std::string_view key;  // the number of the link that changes
  Quantity quantity;     // of the severity
  std::string_view unit;
  Law law;
  bool only_lowers_pressure;  // it acts by losing or lacking pressure, and by nothing else
  double healthy;             // the severity at which nothing is wrong, SI
  double least, most;         // severities that are typical, SI: assumed where the circuit does not say
  std::string_view meaning;   // one line for the technician
};

std::span<const FaultKind> fault_kinds();

/// The kind that a fault names, checked against what stands at its place. @throws Error
const FaultKind& kind_of(const Fault& fault, const Circuit& circuit);

/// All faults one circuit can have, one entry for each place and kind, with typical severities from the circuit where
/// it gives them.
struct PossibleFault {
  std::string place;
  const FaultKind* kind;
  double least, most;
  std::string access;
  double labour;
};
std::vector<PossibleFault> possible_faults(const Circuit& circuit);

/// "left rail end plug: hole 0.5 mm". @throws Error naming the nearest place, kind, and the faults the place can have
Fault parse_fault(const std::string& text, const Circuit& circuit);
std::string fault_text(const Fault& fault, const Circuit& circuit);

/// The same circuit with the faults in it. @throws Error for a fault that its place cannot have or a severity out of
/// range
Circuit with_faults(const Circuit& circuit, std::span<const Fault> faults);

/// Name of the link that a leak at a site becomes: "left rail end plug: hole". No other link can be called so: a name
/// in a file has no ": ".
std::string leak_name(const Fault& fault);

}  // namespace railseep
