#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "circuit/faults.hpp"

namespace railseep {

/// One change that a fault of the catalogue makes: what kind, at which places, and how bad it is when mild and when
/// severe (SI).
struct CatalogueChange {
  std::string_view kind;   // word of fault_kinds()
  std::string_view place;  // part of a place's name; several with '|' between them, the first that the circuit has
                           // counts; empty: any
  bool everywhere;         // at all places that fit, not just the first
  double mild, severe;
};

/// A fault as the trade knows it, in terms of fault_kinds(): applies to any circuit that has the part.
struct CatalogueFault {
  std::string_view id;  // "F1"
  std::string_view name;
  std::string_view explanation;  // one line
  CatalogueChange first;
  CatalogueChange second;  // kind empty: none
};

/// The catalogue of the trade, F1 to F35; sizes are assumed, meant to span "just noticed" to "will not start".
std::span<const CatalogueFault> fault_catalogue();

/// @throws Error with the nearest known id
const CatalogueFault& find_catalogue_fault(std::string_view id);

/// The faults it puts into this circuit; empty when the circuit has no such part. @param severity 0 mild .. 1 severe
/// (geometric between)
std::vector<Fault> faults_of(const CatalogueFault& entry, const Circuit& circuit, double severity = 0.5);

}  // namespace railseep
