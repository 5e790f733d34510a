#include "match/started.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

constexpr double offset = 5e4, share = 0.08;      // of the pressure's doubt [Pa], [-]: assumed
constexpr double shots_needed = 0.5;              // share of the oil per shot below which cylinders begin to miss while cranking: assumed
constexpr double second_trouble = 0.05;           // something else keeps it from starting as well: assumed
constexpr double starts_against_odds = 0.02;      // told "it started" where it can not have: assumed
constexpr double elsewhere_lets_it_start = 0.5;   // a trouble elsewhere that is not there each time: assumed

double reaches(double pressure, double needed) { return 0.5 * std::erfc((needed - pressure) / std::hypot(offset, share * needed) / std::sqrt(2.0)); }

double shots(const Circuit& circuit) {
  double best = 0;
  bool any = false;
  for (const Link& link : circuit.links)
    if (const auto* injector = std::get_if<Injector>(&link.element)) any = true, best = std::max(best, injector->shot_share);
  return any ? best : 1;
}

/// Highest pressure shown once the module knows the engine's position [Pa].
double highest_after(const Trace& trace, double sync_time) {
  const std::vector<double>& shown = trace.find(shown_pressure).value;
  double highest = 0;
  for (std::size_t i = 0; i < shown.size(); ++i)
    if (trace.time[i] >= sync_time) highest = std::max(highest, shown[i]);
  return highest;
}

}  // namespace

double start_probability(Procedures& procedures, const Situation& situation) {
  const Circuit& circuit = procedures.circuit();
  if (circuit.engine.synchronised < 0.5) return 0;
  const double enabled = reaches(highest_after(procedures.trace(situation), circuit.control.sync_time), circuit.control.enable_pressure);
  if (enabled < 1e-3) return enabled;
  const double held = reaches(plateau(procedures.trace(situation, true), rail_pressure), circuit.control.hold_pressure);
  return enabled * held * std::min(1.0, shots(circuit) / shots_needed);
}

double log_likelihood(std::span<const Started> starts, Procedures& procedures, std::span<const Fault> faults) {
  const bool mixed = std::ranges::any_of(starts, [](const Started& s) { return s.started; });
  double sum = 0;
  for (const Started& start : starts) {
    const double can = start_probability(procedures, start.situation);
    const double elsewhere = !faults.empty() ? second_trouble : mixed ? elsewhere_lets_it_start : 1.0;
    const double starts_now = can * (1 - elsewhere);
    sum += std::log(start.started ? std::max(starts_now, starts_against_odds) : 1 - std::min(starts_now, 1 - starts_against_odds));
  }
  return sum;
}

}  // namespace railseep
