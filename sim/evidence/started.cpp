#include "evidence/started.hpp"

#include <algorithm>
#include <cmath>

#include "quantity/normal.hpp"

namespace railseep {

namespace {

constexpr double offset = 5e4, share = 0.08;  // of the pressure's doubt [Pa], [-]: assumed
constexpr double time_doubt =
    0.2;  // of ln(time to build): as unsure as the volumes that are filled (circuit files give them 20 %); assumed
constexpr double settling = 3,
                 settled_for =
                     1;         // after it was enabled: what is there while it fires is read over the last second [s]
constexpr double sure = 0.999;  // it is there: no need to crank on
constexpr double shots_needed =
    0.5;  // share of the oil per shot below which cylinders begin to miss while cranking: assumed
constexpr double second_trouble = 0.05;          // something else keeps it from starting as well: assumed
constexpr double starts_against_odds = 0.02;     // told "it started" where it cannot have: assumed
constexpr double elsewhere_lets_it_start = 0.5;  // a trouble elsewhere that is not there each time: assumed

double reaches(double pressure, double needed) {
  return normal_below((pressure - needed) / std::hypot(offset, share * needed));
}

double shots(const Circuit& circuit) {
  double best = 0;
  bool any = false;
  for (const Link& link : circuit.links)
    if (const auto* injector = std::get_if<Injector>(&link.element))
      any = true, best = std::max(best, injector->shot_share);
  return any ? best : 1;
}

/// Highest pressure shown from when the module knows the engine's position until then [Pa].
double highest_until(const Trace& trace, double sync_time, double until) {
  const std::vector<double>& shown = trace.find(signal::shown_pressure).value;
  double highest = 0;
  for (std::size_t i = 0; i < shown.size(); ++i)
    if (trace.time[i] >= sync_time && trace.time[i] <= until) highest = std::max(highest, shown[i]);
  return highest;
}

Situation cranked_for(Situation situation, double seconds) {
  situation.cranked = seconds;
  return situation;
}

/// When the enabling pressure is there; the end, if it never is [s].
double enabled_at(const Trace& trace, double pressure) {
  const std::vector<double>& shown = trace.find(signal::shown_pressure).value;
  const auto first = std::ranges::find_if(shown, [&](double p) { return p >= pressure; });
  return first == shown.end() ? trace.time.back() : trace.time[static_cast<std::size_t>(first - shown.begin())];
}

double mean_last(const Trace& trace, std::string_view channel, double seconds) {
  const std::vector<double>& value = trace.find(channel).value;
  double sum = 0, count = 0;
  for (std::size_t i = 0; i < value.size(); ++i)
    if (trace.time[i] >= trace.time.back() - seconds) sum += value[i], count += 1;
  return sum / count;
}

/// Is the enabling pressure shown in time? Over the doubt about the time by Gauss and Hermite's three points; the last
/// lies beyond the crank.
double enabled_in_time(Procedures& procedures, const Situation& situation) {
  const ControlSettings& control = procedures.circuit().control;
  const double aside = std::exp(std::sqrt(3.0) * time_doubt);
  const auto at = [&](const Trace& trace, double until) {
    return reaches(highest_until(trace, control.sync_time, until), control.enable_pressure);
  };
  const Trace& trace = procedures.trace(situation);
  const double early = at(trace, situation.cranked / aside), now = at(trace, situation.cranked);
  const double late =
      now > sure ? now
                 : at(procedures.trace(cranked_for(situation, situation.cranked * aside)), situation.cranked * aside);
  return early / 6 + now * 2 / 3 + late / 6;
}

}  // namespace

double start_probability(Procedures& procedures, const Situation& situation) {
  const Circuit& circuit = procedures.circuit();
  if (circuit.engine.synchronised < 0.5) return 0;
  const double enabled = enabled_in_time(procedures, situation);
  if (enabled < 1e-3) return enabled;
  const double from = enabled_at(procedures.trace(situation), circuit.control.enable_pressure);
  const Trace& firing = procedures.trace(cranked_for(situation, std::max(situation.cranked, from + settling)), true);
  const double held = reaches(mean_last(firing, signal::rail_pressure, settled_for), circuit.control.hold_pressure);
  return enabled * held * std::min(1.0, shots(circuit) / shots_needed);
}

double log_likelihood(std::span<const Started> starts, Procedures& procedures, std::span<const Fault> faults,
                      bool repaired) {
  const bool mixed = std::ranges::any_of(starts, [](const Started& s) { return s.started; });
  double sum = 0;
  for (const Started& start : starts) {
    const double can = start_probability(procedures, start.situation);
    const double elsewhere = repaired || !faults.empty() ? second_trouble : mixed ? elsewhere_lets_it_start : 1.0;
    const double starts_now = can * (1 - elsewhere);
    sum += std::log(start.started ? std::max(starts_now, starts_against_odds)
                                  : 1 - std::min(starts_now, 1 - starts_against_odds));
  }
  return sum;
}

}  // namespace railseep
