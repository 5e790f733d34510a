#include "beside.hpp"

#include <algorithm>

#include "circuit/faults.hpp"
#include "evidence/reading.hpp"
#include "evidence/started.hpp"
#include "quantity/error.hpp"

namespace railseep::gui {

namespace {

constexpr std::size_t most_candidates = 12;  // each takes a crank or two

template <class Compute>
auto unless_it_fails(const Compute& compute) -> std::optional<decltype(compute())> {
  try {
    return compute();
  } catch (const Error&) {
    return std::nullopt;
  }
}

}  // namespace

Beside beside(const Circuit& circuit, const Observations& observations, const MatchResult& result) {
  Beside all;
  for (const Reading& reading : observations.readings)
    all.readings.push_back({reading.name, kind_quantity(reading.kind), reading.value, {}});
  for (const Started& start : observations.starts) all.starts.push_back({start.name, start.started, {}});
  const bool found = !observations.checks.empty() || !observations.air.empty();
  if (all.empty() && !found) return all;
  for (std::size_t i = 0; i < std::min(most_candidates, result.fits.size()); ++i) {
    const std::vector<Fault> faults = result.fits[i].faults();
    const Circuit faulty = with_faults(circuit, faults);
    Procedures procedures(faulty);
    for (std::size_t k = 0; k < all.readings.size(); ++k)
      all.readings[k].computed.push_back(
          unless_it_fails([&] { return predicted(observations.readings[k], procedures); }));
    for (std::size_t k = 0; k < all.starts.size(); ++k)
      all.starts[k].probability.push_back(
          unless_it_fails([&] { return start_probability(procedures, observations.starts[k].situation); }));
    if (found)
      all.findings.push_back(unless_it_fails([&] {
                               return observed_and_predicted(observations, faulty, faults);
                             }).value_or(std::vector<ObservedAndPredicted>{}));
  }
  return all;
}

}  // namespace railseep::gui
