#include "training/bay.hpp"

#include <algorithm>
#include <cmath>

#include "decide/check_reading.hpp"
#include "drive/starter.hpp"
#include "evidence/started.hpp"
#include "procedure/crank.hpp"
#include "quantity/error.hpp"
#include "study/dice.hpp"

namespace railseep {

namespace {

enum Stream : std::uint64_t { of_engine, of_crank, of_check, of_look, of_mishap };
constexpr double engine_spread = 0.5;  // of the doubt about a circuit's numbers that one engine has, assumed [-]
constexpr double most_spread = 1;      // in standard deviations
constexpr double tool_noise = 3e4, tool_step = 6894.757293168;  // of a scan tool's pressure [Pa], assumed; 1 psi
constexpr double tool_interval = 0.25;                          // four sweeps a second, assumed [s]
constexpr double usual_air = 0.03;                              // of Condition::rest_air

/// One engine of its kind: its numbers depart from the circuit file as far as that says they may.
Circuit one_engine(const Circuit& circuit, std::uint64_t seed) {
  const std::vector<CrankEvidence> bare(1);
  const Candidate healthy;
  const std::vector<Unknown> unknowns = nuisances(circuit, {});
  Dice dice(seed, 0, of_engine);
  Eigen::VectorXd u(static_cast<Eigen::Index>(unknowns.size()));
  for (Eigen::Index i = 0; i < u.size(); ++i)
    u[i] = std::clamp(engine_spread * dice.normal(), -most_spread, most_spread);
  return assume(circuit, healthy, unknowns, bare, 0, u).circuit;
}

Suspect suspect_of(const Circuit& circuit, const Fault& fault) {
  for (const PossibleFault& possible : possible_faults(circuit))
    if (possible.place == fault.place && possible.kind->word == fault.kind) return {possible.kind, {possible}};
  throw Error(fault.place, "it cannot have the fault \"" + fault.kind + "\"", "railseep faults lists what it can");
}

/// A belief that knows the truth: what checks show of it is computed as what they would show is.
Belief truth(const Circuit& circuit, const std::vector<Fault>& faults) {
  Belief belief;
  Hypothesis hypothesis;
  Possibility possibility{0, {}, 1, 0};
  hypothesis.probability = 1;
  for (const Fault& fault : faults) {
    hypothesis.candidate.suspects.push_back(suspect_of(circuit, fault));
    possibility.severities.push_back(fault.severity);
  }
  belief.hypotheses = {hypothesis}, belief.possibilities = {possibility};
  return belief;
}

MatchResult measured_in(const Condition& condition, const Hypothesis& hypothesis) {
  MatchResult result;
  CrankEvidence log;
  log.condition = condition, log.duration = check_crank;
  result.logs = {log};
  FaultFit fit;
  fit.candidate = hypothesis.candidate, fit.probability = 1;
  result.fits = {fit};
  return result;
}

/// The number that a check reads, of what was computed; nothing: it is not a number.
std::optional<double> number_of(const Circuit& circuit, const std::string& id, const CrankShowing& shows) {
  if (id == "sensor volts") return shows.rest_volts;
  if (id == "base oil gauge") return shows.base_pressure;
  if (id == "hot crank" || id == "read again") return shows.plateau;
  if (id == "faster crank") return shows.faster / std::max(shows.plateau, 5e4);
  if (id == "rail gauge") return shows.gauge_excess;
  if (id == "isolation") return shows.isolated;
  if (id == "hold") return shows.hold_time;
  std::size_t split = 0;
  for (const Block& block : circuit.blocks) {
    if (block.name == "rails") continue;
    if (id == "one rail: " + block.name && split < shows.one_rail.size()) return shows.one_rail[split];
    ++split;
  }
  return std::nullopt;
}

/// Of the gauge and of the one who reads it, one standard deviation.
double noise_of(const Check& check, double value) {
  if (check.id == "rail gauge") return check.error * 3.5e6;
  if (const std::optional<CheckReading> reading = reading_of_check(check.id)) return reading->tolerance(check, value);
  return check.error * value;
}

std::size_t column_of(const Ranges& ranges, double value) {
  return static_cast<std::size_t>(std::ranges::upper_bound(ranges.edges, value) - ranges.edges.begin());
}

std::size_t drawn(const Eigen::RowVectorXd& probabilities, Dice& dice) {
  double left = dice.uniform(0, 1);
  for (Eigen::Index i = 0; i < probabilities.size(); ++i)
    if ((left -= probabilities[i]) < 0) return static_cast<std::size_t>(i);
  return static_cast<std::size_t>(probabilities.size()) - 1;
}

}  // namespace

Bay::Bay(const FaultTable& table, std::vector<Fault> faults, bool elsewhere, std::uint64_t seed, BayState state)
    : table_(table),
      engine_(one_engine(table.circuit, seed)),
      faults_(std::move(faults)),
      elsewhere_(elsewhere),
      seed_(seed),
      state_(state) {}

void Bay::pass(double seconds) {
  state_.oil_temperature = ambient + (state_.oil_temperature - ambient) * std::exp(-seconds / cooling_time);
  state_.starter_heat = std::max(0.0, state_.starter_heat - starter_cooling * seconds);
}

double Bay::speed_share() const {
  const double viscosity = oil_of(engine_, engine_.oil, state_.oil_temperature).viscosity;
  return Starter(engine_.starter, viscosity, state_.battery).settled_speed() /
         Starter(engine_.starter, viscosity).settled_speed();
}

Condition Bay::condition() const {
  const Starter starter(engine_.starter, oil_of(engine_, engine_.oil, state_.oil_temperature).viscosity,
                        state_.battery);
  Condition condition;
  condition.oil_temperature = state_.oil_temperature;
  condition.speed = Profile(starter.settled_speed());
  condition.battery = Profile(starter.voltage(starter.settled_speed()));
  condition.rest_air = usual_air;
  condition.air_left = state_.air_left;
  return condition;
}

CrankShown Bay::crank(double seconds, int number) {
  Dice dice(seed_, static_cast<std::uint64_t>(number), of_crank);
  const Circuit broken = with_faults(engine_, faults_);
  const Condition now = condition();
  CrankOptions options;
  options.duration = seconds, options.output_interval = tool_interval, options.tolerance = 1e-4;
  CrankShown shown;
  shown.log = railseep::crank(broken, now, options).trace;
  for (TraceChannel& channel : shown.log.channels)
    if (channel.name == signal::shown_pressure)
      for (double& p : channel.value)
        p = std::max(0.0, tool_step * std::round((p + tool_noise * dice.normal()) / tool_step));
  const CrankSummary summary = summarise(broken, shown.log);
  shown.plateau = summary.plateau, shown.peak = summary.peak, shown.duty = summary.duty;
  shown.speed = now.speed.at(0) * broken.engine.cranking_speed;
  shown.battery = now.battery.at(0);

  Situation situation;
  situation.oil_temperature = state_.oil_temperature, situation.cranked = std::max(seconds, 1.0);
  situation.speed = shown.speed, situation.battery = shown.battery;
  situation.rest_air = usual_air + state_.air_left;
  Procedures procedures(broken);
  shown.started = !elsewhere_ && dice.chance(start_probability(procedures, situation));

  state_.battery = std::max(0.5, state_.battery - drain * seconds);
  if (shown.started) state_.battery = 1;  // the alternator gives it back
  state_.starter_heat += seconds;
  state_.air_left *= std::exp(-seconds / crank_out);
  state_.pressure = true;
  return shown;
}

CheckShown Bay::check(const Forecast& forecast, int number) {
  Dice dice(seed_, static_cast<std::uint64_t>(number), of_check);
  Belief belief = truth(engine_, faults_);
  if (forecast.check.where != Check::Where::engine) {
    WorkGroup cover;
    cover.name = place_of_check(forecast.check.id);
    cover.stands_open = forecast.check.where == Check::Where::open_cover;
    belief.groups = {cover};
  }
  const std::vector<Check> one{[&] {
    Check check = forecast.check;
    check.id = check.id.substr(0, check.id.find(": "));  // "one rail: left rail" is one of several
    return check;
  }()};
  const Showings shows =
      showings(engine_, measured_in(condition(), belief.hypotheses.front()), belief, needs_of(engine_, one), 1, {});
  if (!shows.troubles.empty())
    throw Error(forecast.check.name, "it cannot be computed: " + shows.troubles.front(), "try another check");
  CheckShown shown;
  const bool cranks = std::ranges::count(forecast.check.cautions, "crank") > 0;
  shown.speed = cranks ? with_faults(engine_, faults_).engine.cranking_speed * speed_share()
                       : std::numeric_limits<double>::quiet_NaN();
  const std::optional<double> number_there = number_of(engine_, forecast.check.id, shows.crank.front());
  if (number_there && forecast.ranges) {
    const double value = *number_there + noise_of(forecast.check, *number_there) * dice.normal();
    shown.value = forecast.check.id == "rail gauge" ? value : std::max(0.0, value);
    shown.column = column_of(*forecast.ranges, *shown.value);
  } else {
    const std::vector<Forecast> seen = forecasts(engine_, belief, shows, one, table_.units.pressure);
    shown.column = drawn(seen.front().likelihood.row(0), dice);
  }
  return shown;
}

std::vector<Fault> Bay::look_behind(const std::string& group, int number) const {
  Dice dice(seed_, static_cast<std::uint64_t>(number), of_look);
  std::vector<Fault> seen;
  for (const Fault& fault : faults_) {
    const bool there = std::ranges::any_of(table_.belief.hypotheses, [&](const Hypothesis& hypothesis) {
      for (std::size_t i = 0; i < hypothesis.candidate.suspects.size(); ++i)
        for (const PossibleFault& place : hypothesis.candidate.suspects[i].places)
          if (place.place == fault.place && place.kind->word == fault.kind)
            return table_.belief.groups[static_cast<std::size_t>(hypothesis.groups[i])].name == group;
      return false;
    });
    if (there && dice.chance(visibility(fault, table_.circuit))) seen.push_back(fault);
  }
  return seen;
}

bool Bay::starts(double oil_temperature) const {
  if (elsewhere_) return false;
  const Circuit broken = with_faults(engine_, faults_);
  Situation situation;
  situation.oil_temperature = oil_temperature, situation.cranked = told_crank;
  Procedures procedures(broken);
  return start_probability(procedures, situation) > 0.5;
}

void Bay::cure(const std::string& place, const std::vector<std::string>& kinds) {
  std::erase_if(faults_, [&](const Fault& fault) {
    return fault.place == place && std::ranges::find(kinds, fault.kind) != kinds.end();
  });
}

bool Bay::mishap(double chance, int number) const {
  return Dice(seed_, static_cast<std::uint64_t>(number), of_mishap).chance(chance);
}

}  // namespace railseep
