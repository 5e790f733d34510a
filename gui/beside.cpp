#include "beside.hpp"

#include <algorithm>

#include "circuit/faults.hpp"
#include "match/reading.hpp"
#include "match/started.hpp"
#include "quantity/error.hpp"

namespace railseep::gui {

namespace {

constexpr std::size_t most_candidates = 12;  // each takes a crank or two

template <class Compute>
std::optional<double> unless_it_fails(const Compute& compute) {
  try {
    return compute();
  } catch (const Error&) {
    return std::nullopt;
  }
}

}  // namespace

Beside beside(const Circuit& circuit, const Observations& observations, const MatchResult& result) {
  Beside all;
  for (const Reading& reading : observations.readings) all.readings.push_back({reading.name, kind_quantity(reading.kind), reading.value, {}});
  for (const Started& start : observations.starts) all.starts.push_back({start.name, start.started, {}});
  if (all.empty()) return all;
  for (std::size_t i = 0; i < std::min(most_candidates, result.fits.size()); ++i) {
    const Circuit faulty = with_faults(circuit, result.fits[i].faults());
    Procedures procedures(faulty);
    for (std::size_t k = 0; k < all.readings.size(); ++k)
      all.readings[k].computed.push_back(unless_it_fails([&] { return predicted(observations.readings[k], procedures); }));
    for (std::size_t k = 0; k < all.starts.size(); ++k)
      all.starts[k].probability.push_back(unless_it_fails([&] { return start_probability(procedures, observations.starts[k].situation); }));
  }
  return all;
}

}  // namespace railseep::gui
