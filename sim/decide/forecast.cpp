#include "decide/forecast.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <set>

#include "circuit/circuit.hpp"
#include "decide/check_reading.hpp"
#include "procedure/isolate.hpp"

namespace railseep {

namespace {

constexpr double psi = 6894.757293168;
constexpr double pressure_floor =
    5e4;  // a rail pressure is never surer than this: sensor, converter and model together [Pa], assumed
constexpr double gauge_floor = 1.5e5;    // nor the difference of two gauges [Pa], assumed
constexpr double least_to_fall = 3.5e5;  // of which a tool shows half [Pa], assumed: 50 psi
constexpr double sampling = 0.5;         // time lost between two samples of a tool [s], assumed

bool has_block(const Circuit& circuit, bool both) {
  return std::any_of(circuit.blocks.begin(), circuit.blocks.end(),
                     [&](const Block& block) { return (block.name == both_rails) == both; });
}

/// Fills the table of a reading: each possibility's value with its error, sorted into ranges. Where nothing was
/// computed anything may come out.
void set_ranges(Forecast& forecast, Ranges ranges, std::size_t count, const std::function<double(std::size_t)>& value,
                const std::function<double(double)>& deviation) {
  const auto columns = static_cast<Eigen::Index>(ranges.count());
  forecast.likelihood.resize(static_cast<Eigen::Index>(count), columns);
  for (std::size_t i = 0; i < count; ++i) {
    const double mean = value(i);
    const Eigen::VectorXd p = std::isnan(mean) ? Eigen::VectorXd::Constant(columns, 1.0 / static_cast<double>(columns))
                                               : range_probabilities(ranges, mean, deviation(mean));
    forecast.likelihood.row(static_cast<Eigen::Index>(i)) = with_slips(p, forecast.check.slip).transpose();
  }
  for (std::size_t o = 0; o < ranges.count(); ++o) forecast.outcomes.push_back(ranges.words(o, o));
  forecast.ranges = std::move(ranges);
}

Ranges rail_pressures(const std::string& unit, std::string before) {
  Ranges ranges{std::move(before), "", Quantity::pressure, unit, {}};
  for (const double edge : {50, 100, 200, 300, 400, 500, 700, 1000, 1500, 2200}) ranges.edges.push_back(edge * psi);
  return ranges;
}

/// As far as the match would believe such a reading. @throws nothing: only for checks that are readings
std::function<double(double)> reading_error(const Check& check, const Circuit& circuit) {
  return [&check, &circuit, reading = *reading_of_check(check.id)](double computed) {
    return reading.deviation(check, computed, circuit);
  };
}

/// Is there anything that one of its looks could show here? @param place it is done at; empty: at the engine
bool can_show(const Check& check, const Circuit& circuit, const std::string& place = {}) {
  return std::ranges::any_of(
      check.looks, [&](const std::string& look) { return could_see(find_inspection_kind(look), circuit, place); });
}

/// What is looked at, one look after the other: all is good; or something is bad, which may be one outcome or one for
/// each look.
void set_seen(Forecast& forecast, const Circuit& circuit, const Belief& belief) {
  const std::vector<std::string>& looks = forecast.check.looks;
  const std::string place = place_of_check(forecast.check.id);
  const bool each_look = forecast.check.outcomes.size() == looks.size() + 1;
  forecast.outcomes = forecast.check.outcomes;
  forecast.likelihood = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(belief.possibilities.size()),
                                              static_cast<Eigen::Index>(forecast.outcomes.size()));
  for (std::size_t i = 0; i < belief.possibilities.size(); ++i) {
    const Possibility& possibility = belief.possibilities[i];
    const std::vector<Fault> faults =
        belief.hypotheses[possibility.hypothesis].candidate.faults(possibility.severities);
    auto row = forecast.likelihood.row(static_cast<Eigen::Index>(i));
    double good = 1;
    for (std::size_t k = 0; k < looks.size(); ++k) {
      if (!could_see(find_inspection_kind(looks[k]), circuit, place)) continue;
      const double bad = bad_probability({looks[k], false, place, {}}, circuit, faults);
      row[each_look ? static_cast<Eigen::Index>(k) + 1 : 1] += good * bad;
      good *= 1 - bad;
    }
    row[0] = good;
  }
  forecast.notes.push_back("how often it is seen with which fault is assumed");
}

/// A check of covers, at one of them.
Forecast at_cover(Forecast forecast, const Circuit& circuit, const Belief& belief, const std::string& cover) {
  forecast.check.id += ": " + cover;
  forecast.check.name += ": " + cover;
  set_seen(forecast, circuit, belief);
  return forecast;
}

/// Is there likely a pressure that can fall once the key is off?
bool can_fall(const Belief& belief, const Showings& shows) {
  const Eigen::VectorXd weights = belief.weights();
  double falls = 0;
  for (std::size_t i = 0; i < shows.crank.size(); ++i)
    if (!(shows.crank[i].plateau < least_to_fall)) falls += weights[static_cast<Eigen::Index>(i)];
  return falls > 0.5 * weights.sum();
}

/// Points that tell where a hiss comes from: for each place the one it is heard best at.
std::vector<std::size_t> telling_points(const Circuit& circuit) {
  const auto loss_to = [&](const std::string& place, const std::string& access, const std::string& point) {
    const SoundPath* path = circuit.listening.find_path(place, access, point);
    return path ? path->loss + 20 * std::log10(path->distance) : INFINITY;
  };
  std::vector<std::pair<std::string, std::string>> sources;
  for (const Site& site : circuit.sites) sources.emplace_back(site.name, site.access);
  for (const Link& link : circuit.links) sources.emplace_back(link.name, link.access);
  std::set<std::size_t> points;
  for (const auto& [place, access] : sources) {
    std::size_t best = 0;
    double least = INFINITY;
    for (std::size_t i = 0; i < circuit.listening.points.size(); ++i) {
      const double loss = loss_to(place, access, circuit.listening.points[i].name);
      if (loss < least) least = loss, best = i;
    }
    if (least < INFINITY) points.insert(best);
  }
  return {points.begin(), points.end()};
}

/// What is heard above the room: what is silent stays silent however silent.
double heard(double audibility) { return std::max(audibility, 0.0); }

void set_air(Forecast& forecast, const Circuit& circuit, const Showings& shows, std::vector<double> AirShowing::*pass) {
  const std::vector<std::size_t> points = telling_points(circuit);
  const std::vector<double>& sound = shows.sound.*pass;
  for (const std::size_t i : points) {
    forecast.outcomes.push_back(circuit.listening.points[i].name);
    forecast.sound_engine.push_back(i < sound.size() ? word_for(sound[i]) : HeardWord::silent);
  }
  forecast.outcomes.push_back("no place");
  forecast.ending = " hisses more than on a sound engine";
  forecast.likelihood.resize(static_cast<Eigen::Index>(shows.air.size()),
                             static_cast<Eigen::Index>(forecast.outcomes.size()));
  for (std::size_t k = 0; k < shows.air.size(); ++k) {
    const std::vector<double>& now = shows.air[k].*pass;
    std::vector<double> excess;
    for (const std::size_t i : points)
      if (i < now.size() && i < sound.size()) excess.push_back(heard(now[i]) - heard(sound[i]));
    const Eigen::VectorXd p = excess.size() == points.size()
                                  ? standing_out(excess, forecast.check.error, 2 * forecast.check.error)
                                  : Eigen::VectorXd::Constant(forecast.likelihood.cols(),
                                                              1.0 / static_cast<double>(forecast.likelihood.cols()));
    forecast.likelihood.row(static_cast<Eigen::Index>(k)) = with_slips(p, forecast.check.slip).transpose();
  }
  forecast.notes.push_back("how sound gets from a leak to an ear, and the ear itself, are assumed");
}

}  // namespace

ShowingNeeds needs_of(const Circuit& circuit, const std::vector<Check>& checks) {
  ShowingNeeds needs;
  const bool listens = !circuit.listening.points.empty() && circuit.only<Regulator>() >= 0;
  for (const Check& check : checks) {
    needs.crank |= check.id == "hot crank" || check.id == "read again" || check.id == "faster crank" ||
                   check.id == "rail gauge" || check.id == "base oil gauge" || check.id == "hold";
    needs.faster |= check.id == "faster crank";
    needs.charged |= check.id == "charged batteries";
    needs.isolated |= check.id == "isolation" && has_block(circuit, true);
    needs.one_rail |= check.id == "one rail" && has_block(circuit, false);
    needs.hold |= check.id == "hold";
    needs.air |= listens && check.id.starts_with("air ");
    needs.at_pump |= listens && check.id == "air at the pump";
  }
  return needs;
}

std::vector<Forecast> forecasts(const Circuit& circuit, const Belief& belief, const Showings& shows,
                                const std::vector<Check>& checks, const std::string& pressure_unit) {
  std::vector<Forecast> all;
  const std::size_t count = belief.possibilities.size();
  const bool listens = !shows.air.empty() && !shows.sound.open.empty(), sensor = circuit.only<Sensor>() >= 0;
  const auto of = [&](double CrankShowing::*member) {
    return [&shows, member](std::size_t i) { return shows.crank[i].*member; };
  };
  for (const Check& check : checks) {
    Forecast forecast;
    forecast.check = check;
    if (check.where != Check::Where::engine) {
      for (const WorkGroup& group : belief.groups)
        if (group.opened && (group.stands_open || check.where == Check::Where::cover) &&
            can_show(check, circuit, group.name))
          all.push_back(at_cover(forecast, circuit, belief, group.name));
      continue;
    }
    if (!check.looks.empty()) {
      if (!can_show(check, circuit)) continue;
      set_seen(forecast, circuit, belief);
    } else if (check.id == "sensor volts") {
      if (!sensor) continue;
      const double zero =
          std::get<Sensor>(circuit.links[static_cast<std::size_t>(circuit.only<Sensor>())].element).zero;
      set_ranges(forecast,
                 {"it rests at ",
                  "",
                  Quantity::voltage,
                  "V",
                  {std::max(0.02, zero - 0.15), zero - 0.06, zero + 0.06, zero + 0.15}},
                 count, of(&CrankShowing::rest_volts), reading_error(check, circuit));
    } else if (check.id == "base oil gauge") {
      set_ranges(forecast,
                 {"base oil comes to ",
                  "",
                  Quantity::pressure,
                  pressure_unit == "psi" ? "psi" : "bar",
                  {5 * psi, 12 * psi, 20 * psi, 40 * psi}},
                 count, of(&CrankShowing::base_pressure), reading_error(check, circuit));
      if (circuit.only<LubePump>() < 0)
        forecast.notes.push_back(
            "the circuit has no lube pump: the gauge is taken to fall with the share of air in the supply");
    } else if (check.id == "hot crank" || check.id == "read again") {
      if (shows.hot_logged != (check.id == "read again") || (!shows.hot_logged && !shows.warmed)) continue;
      set_ranges(forecast, rail_pressures(pressure_unit, "it levels off at "), count, of(&CrankShowing::plateau),
                 reading_error(check, circuit));
    } else if (check.id == "charged batteries") {
      if (shows.speed >= slow_cranking * shows.healthy_speed) continue;
      set_ranges(forecast, rail_pressures(pressure_unit, "it levels off at "), count, of(&CrankShowing::charged),
                 reading_error(check, circuit));
    } else if (check.id == "faster crank") {
      const auto ratio = [&](std::size_t i) {
        return shows.crank[i].faster / std::max(shows.crank[i].plateau, pressure_floor);
      };
      set_ranges(forecast,
                 {"the plateau becomes ", " higher", Quantity::ratio, "x", {1.05, 1.12, 1.18, 1.24, 1.3, 1.36, 1.45}},
                 count, ratio, [&](double v) { return check.error * v; });
      forecast.notes.push_back("a boosted battery is taken to crank 1.2 times as fast");
    } else if (check.id == "rail gauge") {
      if (!sensor) continue;
      Ranges ranges{"the gauge less the sensor is ",
                    "",
                    Quantity::pressure,
                    pressure_unit,
                    {-300 * psi, -100 * psi, -40 * psi, 40 * psi, 100 * psi, 300 * psi}};
      set_ranges(forecast, std::move(ranges), count, of(&CrankShowing::gauge_excess),
                 [&](double) { return std::hypot(0.5 * gauge_floor, check.error * 3.5e6); });
    } else if (check.id == "air open" || check.id == "air energised" || check.id == "air at the pump") {
      if (!listens || (check.id == "air at the pump" && shows.sound.at_pump.empty())) continue;
      set_air(forecast, circuit, shows,
              check.id == "air open"        ? &AirShowing::open
              : check.id == "air energised" ? &AirShowing::energised
                                            : &AirShowing::at_pump);
    } else if (check.id == "isolation") {
      if (!has_block(circuit, true)) continue;
      set_ranges(forecast, rail_pressures(pressure_unit, "it levels off at "), count, of(&CrankShowing::isolated),
                 reading_error(check, circuit));
    } else if (check.id == "hold") {
      if (!can_fall(belief, shows)) continue;
      set_ranges(forecast, {"it has fallen to half after ", "", Quantity::time, "s", {0.5, 1, 2, 5, 15}}, count,
                 of(&CrankShowing::hold_time), [&](double t) { return std::hypot(check.error * t, sampling); });
    } else if (check.id == "one rail") {
      std::size_t split = 0;
      for (const Block& block : circuit.blocks) {
        if (block.name == both_rails) continue;
        Forecast one = forecast;
        one.check.id += ": " + block.name;
        one.check.name += ": " + block.name + " blocked";
        set_ranges(
            one, rail_pressures(pressure_unit, "it levels off at "), count,
            [&](std::size_t i) {
              return split < shows.crank[i].one_rail.size() ? shows.crank[i].one_rail[split] : not_computed;
            },
            reading_error(check, circuit));
        all.push_back(std::move(one));
        ++split;
      }
      continue;
    }
    all.push_back(std::move(forecast));
  }
  return all;
}

}  // namespace railseep
