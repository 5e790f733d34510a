#include "circuit/severity_range.hpp"

#include <limits>

namespace railseep {

namespace {

/// Looks for the number in one part's table; leaves the range alone when the part is of another kind.
template <class Part>
void look_in(const FaultKind& kind, SeverityRange& range) {
  if (Part::kind != kind.applies_to) return;
  for (const auto& parameter : Part::parameters())
    if (parameter.key == kind.key) range = {parameter.least, parameter.most};
}

template <std::size_t... i>
void look_in_elements(const FaultKind& kind, SeverityRange& range, std::index_sequence<i...>) {
  (look_in<std::variant_alternative_t<i, Element>>(kind, range), ...);
}

}  // namespace

SeverityRange severity_range(const FaultKind& kind) {
  constexpr double any = std::numeric_limits<double>::infinity();
  SeverityRange range{-any, any};
  if (kind.change != FaultKind::Change::sets) return range;
  if (kind.applies_to == "supply" || kind.applies_to == "reservoir") return {0, 0.99};  // as with_faults takes it
  look_in_elements(kind, range, std::make_index_sequence<std::variant_size_v<Element>>());
  look_in<EngineState>(kind, range);
  return range;
}

}  // namespace railseep
