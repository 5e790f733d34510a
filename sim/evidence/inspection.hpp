#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/faults.hpp"

namespace railseep {

/// A fault that a check sees, and how often: probability that the check is called bad when the fault is there.
struct Seen {
  std::string fault;       // word of fault_kinds(); empty: any at the place that was looked at
  std::string applies_to;  // as there; empty: any
  std::string place;       // part of the place's name; empty: any
  double bad = 0;          // [-]
};

/// Something a technician looks at or measures, with two outcomes.
struct InspectionKind {
  std::string word;                  // "oil level"
  std::string question;              // answered by good or bad
  double false_alarm = 0;            // called bad although none of what it sees is there [-]
  double false_alarm_described = 0;  // the same when the one who looked describes what he saw [-]
  bool at_place = false;             // it is done at one place, which must be told
  std::vector<Seen> sees;
};

/// A file such as models/looks.json (models/looks.schema.json describes it). @param file its name, for messages.
/// @throws Error with place, found, expected
std::vector<InspectionKind> parse_looks(const std::string& text, const std::string& file);

/// Those of models/looks.json, as it was when the library was built; read once.
std::span<const InspectionKind> inspection_kinds();

/// @throws Error with the nearest known word
const InspectionKind& find_inspection_kind(std::string_view word);

/// One check, done.
struct Inspection {
  std::string check;  // word of inspection_kinds()
  bool bad = false;
  std::string place;                 // site, link or access group, of a check that is done at one
  std::optional<double> resistance;  // of the coil, as measured [ohm]: then good or bad is not asked
  bool described = false;            // told in words what was seen: nearly proof
};

/// Probability that the check is called bad with these faults in the circuit.
///
///     p = 1 - (1 - false_alarm)*product over the faults it sees of (1 - p_fault)
double bad_probability(const Inspection& checked, const Circuit& circuit, std::span<const Fault> faults);

/// Probability that a fault is seen when its place is opened: what the look "seen" says of it.
double visibility(const Fault& fault, const Circuit& circuit);

/// Does this look, at its place, show this fault oftener than not?
bool shows(const Inspection& checked, const Circuit& circuit, const Fault& fault);

/// Is there anything in this circuit that the check could see? @param place of a check that is done at one
bool could_see(const InspectionKind& kind, const Circuit& circuit, std::string_view place = {});

/// ln p(outcome | the circuit). @throws Error for an unknown check or place
double log_likelihood(const Inspection& checked, const Circuit& faulty, std::span<const Fault> faults);

}  // namespace railseep
