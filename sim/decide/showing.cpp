#include "decide/showing.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>

#include "drive/starter.hpp"
#include "evidence/reading.hpp"
#include "fit/in_parallel.hpp"
#include "procedure/air_test.hpp"
#include "procedure/isolate.hpp"
#include "procedure/key_off_hold.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double tolerance = 1e-4;  // of the pressures in one step: far below the errors of any check

/// Mean of a signal once the engine has run up.
double mean_of(const Profile& profile, double duration) {
  constexpr int points = 60;
  double sum = 0;
  for (int i = 0; i < points; ++i) sum += profile.at(duration * (0.3 + 0.7 * i / (points - 1)));
  return sum / points;
}

/// Over the last fifth, the plateau that is read off.
double tail_mean(const std::vector<double>& value) {
  const std::size_t from = value.size() - std::max<std::size_t>(1, value.size() / 5);
  double sum = 0;
  for (std::size_t i = from; i < value.size(); ++i) sum += value[i];
  return sum / static_cast<double>(value.size() - from);
}

/// The engine as a possibility has it, hot, cranking steadily.
struct Engine {
  Circuit circuit;
  Condition condition;
};

class Bench {
 public:
  Bench(const Circuit& circuit, const MatchResult& result, const Belief& belief, bool warmed)
      : circuit_(circuit), result_(result), belief_(belief), warmed_(warmed) {
    for (std::size_t i = 0; i < result.logs.size(); ++i)
      if (result.logs[i].stage != Stage::good && result.logs[i].block.empty() &&
          (!hottest_ || result.logs[i].condition.oil_temperature > result.logs[*hottest_].condition.oil_temperature))
        hottest_ = i;
  }

  bool hot_logged() const { return hottest_ && result_.logs[*hottest_].condition.oil_temperature >= hot_from; }

  std::optional<double> logged_plateau() const {
    if (!hot_logged() || result_.logs[*hottest_].measured.empty() || !result_.logs[*hottest_].of_sensor())
      return std::nullopt;
    return tail_mean(result_.logs[*hottest_].measured);
  }

  /// @param condition one of a log, or none
  Condition hot(Condition condition) const {
    if (warmed_ && condition.oil_temperature < hot_from) condition.oil_temperature = hot_oil;
    const double duration = hottest_ ? result_.logs[*hottest_].duration : 6;
    if (condition.speed.empty())
      condition.speed = Profile(healthy_speed(condition.oil_temperature));
    else
      condition.speed = Profile(mean_of(condition.speed, duration));
    condition.battery = Profile(mean_of(condition.battery, duration));
    return condition;
  }

  double healthy_speed(double temperature) const {
    return Starter(circuit_.starter, oil_of(circuit_, circuit_.oil, temperature).viscosity).settled_speed();
  }

  Engine engine(const Possibility& possibility) const {
    const Hypothesis& hypothesis = belief_.hypotheses[possibility.hypothesis];
    const FaultFit& fit = result_.fits[hypothesis.fit];
    Candidate candidate = hypothesis.candidate;
    for (Suspect& suspect : candidate.suspects)
      std::swap(suspect.places.front(), suspect.places[possibility.place * (suspect.places.size() - 1) / 2]);
    if (fit.unknowns.empty() || fit.u.size() != static_cast<Eigen::Index>(fit.unknowns.size()) || !hottest_)
      return {with_faults(circuit_, candidate.faults(possibility.severities)),
              hot(hottest_ ? result_.logs[*hottest_].condition : Condition{})};
    Eigen::VectorXd u = fit.u;
    std::size_t next = 0;
    for (std::size_t i = 0; i < fit.unknowns.size(); ++i)
      if (fit.unknowns[i].where == Unknown::Where::severity)
        u[static_cast<Eigen::Index>(i)] = fit.unknowns[i].coordinate(possibility.severities[next++]);
    Assumed assumed = assume(circuit_, candidate, fit.unknowns, result_.logs, *hottest_, u);
    return {std::move(assumed.circuit), hot(assumed.condition)};
  }

  Engine sound() const { return {circuit_, hot(hottest_ ? result_.logs[*hottest_].condition : Condition{})}; }

 private:
  const Circuit& circuit_;
  const MatchResult& result_;
  const Belief& belief_;
  bool warmed_;
  std::optional<std::size_t> hottest_;
};

CrankOptions crank_options() {
  CrankOptions options;
  options.duration = check_crank;
  options.tolerance = tolerance;
  options.output_interval = 0.05;
  return options;
}

double plateau_at(const Circuit& circuit, Condition condition, double speed) {
  condition.speed = Profile(speed);
  CrankOptions options = crank_options();
  options.pressure_only = true;
  return plateau(crank(circuit, condition, options).trace, signal::shown_pressure);
}

CrankShowing show_crank(const Engine& engine, const ShowingNeeds& needs, double healthy_speed) {
  CrankShowing shows;
  const auto& [circuit, condition] = engine;
  const double speed = condition.speed.at(0);
  if (needs.crank) {
    const Trace trace = crank(circuit, condition, crank_options()).trace;
    shows.plateau = plateau(trace, signal::shown_pressure);
    shows.gauge_excess = plateau(trace, signal::rail_pressure) - shows.plateau;
    if (circuit.only<LubePump>() >= 0 || circuit.only<Pump>() >= 0) shows.base_pressure = base_oil(circuit, trace);
  }
  if (needs.faster) shows.faster = plateau_at(circuit, condition, faster_cranking * speed);
  if (needs.charged) {
    Circuit charged = circuit;
    charged.engine.cranking_speed = 1;
    shows.charged = plateau_at(charged, condition, std::max(speed, healthy_speed));
  }
  CrankOptions short_crank = crank_options();
  short_crank.duration = plugged_crank;
  for (const Block& block : circuit.blocks) {
    if (block.name == both_rails ? !needs.isolated : !needs.one_rail) continue;
    const double p = plateau(isolate(circuit, condition, block.name, short_crank).trace, signal::shown_pressure);
    if (block.name == both_rails)
      shows.isolated = p;
    else
      shows.one_rail.push_back(p);
  }
  if (needs.hold) {
    RunOptions run;
    run.tolerance = tolerance;
    run.output_interval = 0.02;
    const double crank_time = 3, hold_time = 20;
    shows.hold_time =
        decay_time(key_off_hold(circuit, condition, crank_time, hold_time, run), crank_time).value_or(hold_time);
  }
  const int sensor = circuit.only<Sensor>();
  if (sensor >= 0)
    shows.rest_volts =
        std::get<Sensor>(circuit.links[static_cast<std::size_t>(sensor)].element).volts(0, condition.oil_temperature);
  return shows;
}

std::vector<double> audibilities(const AirPass& pass) {
  std::vector<double> all;
  for (const HeardPoint& point : pass.heard) all.push_back(point.audibility);
  return all;
}

/// As it is done, computed no finer than an ear needs.
AirTestOptions quick(AirTestOptions options) {
  options.tolerance = tolerance;
  options.output_interval = 5;
  options.timed = false;
  return options;
}

AirShowing show_air(const Circuit& circuit, bool at_pump_too) {
  AirShowing shows;
  const AirTestResult at_rail = air_test(circuit, quick(air_check_options(circuit, "air energised")));
  shows.air_reaches_regulator = at_rail.reaches_regulator;
  shows.open = audibilities(at_rail.open);
  if (at_rail.shut) shows.energised = audibilities(*at_rail.shut);
  if (at_pump_too && circuit.only<Regulator>() >= 0 && !at_rail.reaches_regulator) {
    const AirTestResult at_pump = air_test(circuit, quick(air_check_options(circuit, "air at the pump")));
    if (at_pump.shut) shows.at_pump = audibilities(*at_pump.shut);
  }
  return shows;
}

/// Possibilities that are the same to everything but an ear: one crank does for all of them.
std::vector<std::size_t> same_cranks(const Belief& belief) {
  std::map<std::pair<std::size_t, std::vector<double>>, std::size_t> first;
  std::vector<std::size_t> all;
  for (std::size_t i = 0; i < belief.possibilities.size(); ++i) {
    const Possibility& p = belief.possibilities[i];
    all.push_back(first.try_emplace({belief.hypotheses[p.hypothesis].fit, p.severities}, i).first->second);
  }
  return all;
}

}  // namespace

AirTestOptions air_check_options(const Circuit& circuit, std::string_view id) {
  AirTestOptions options;
  options.ear = "tube";
  const int regulator = circuit.only<Regulator>();
  if (id == "air at the pump" && regulator >= 0)
    options.feed =
        circuit.nodes[static_cast<std::size_t>(circuit.links[static_cast<std::size_t>(regulator)].from)].name;
  return options;
}

Showings showings(const Circuit& circuit, const MatchResult& result, const Belief& belief, const ShowingNeeds& needs,
                  int threads, const std::function<void(std::size_t done, std::size_t all)>& tick) {
  const Bench bench(circuit, result, belief, needs.warmed);
  const Engine sound = bench.sound();
  const std::size_t count = belief.possibilities.size();
  Showings all;
  all.crank.resize(count), all.air.resize(count);
  all.oil_temperature = sound.condition.oil_temperature;
  all.speed = sound.condition.speed.at(0);
  all.healthy_speed = bench.healthy_speed(all.oil_temperature);
  all.hot_logged = bench.hot_logged();
  all.warmed = needs.warmed;
  all.logged_plateau = bench.logged_plateau();

  // Pieces of work: a crank for each possibility that has one of its own, then air for each, the sound engine among
  // them.
  const std::vector<std::size_t> crank_of = same_cranks(belief);
  struct Piece {
    bool air;
    std::size_t possibility;  // count: the sound engine
  };
  std::vector<Piece> pieces;
  for (std::size_t i = 0; i < count; ++i)
    if (crank_of[i] == i) pieces.push_back({false, i});
  if (needs.air)
    for (std::size_t i = 0; i <= count; ++i) pieces.push_back({true, i});
  std::vector<std::string> troubles(pieces.size());
  std::mutex guard;
  std::size_t done = 0;
  in_parallel(pieces.size(), threads, [&](std::size_t i) {
    const auto [air, p] = pieces[i];
    try {
      if (air && p == count)
        all.sound = show_air(sound.circuit, needs.at_pump);
      else if (air)
        all.air[p] = show_air(bench.engine(belief.possibilities[p]).circuit, needs.at_pump);
      else
        all.crank[p] = show_crank(bench.engine(belief.possibilities[p]), needs, all.healthy_speed);
    } catch (
        const Error& error) {  // an engine in such a state may be beyond the solver: then this possibility says nothing
      troubles[i] = error.what();
    }
    const std::lock_guard lock(guard);
    if (tick) tick(++done, pieces.size());
  });
  for (std::size_t i = 0; i < count; ++i) all.crank[i] = all.crank[crank_of[i]];
  for (const std::string& trouble : troubles)
    if (!trouble.empty()) all.troubles.push_back(trouble);
  return all;
}

}  // namespace railseep
