#include "training/fault_table.hpp"

#include <algorithm>
#include <cmath>
#include <mutex>

#include "evidence/started.hpp"
#include "fit/in_parallel.hpp"
#include "quantity/error.hpp"
#include "training/kept_faults.hpp"

namespace railseep {

namespace {

constexpr int between = 4;       // steps from one computed size to the next
constexpr double reach = 1.645;  // sizes are computed so many standard deviations to both sides: 90 % of the prior
constexpr double cannot_be_computed = -3;  // ln p of a start that the solver could not do: it says little

/// Sizes of one suspect, evenly in its own coordinate, and the prior's density there.
struct Sizes {
  std::vector<double> value, weight;
};

Sizes sizes_of(const Suspect& suspect, int count) {
  const Unknown unknown = severity_unknown(suspect);
  const double from = std::max(-reach, unknown.coordinate(unknown.least)),
               to = std::min(reach, unknown.coordinate(unknown.most));
  Sizes sizes;
  for (int i = 0; i < count; ++i) {
    const double u = from + (to - from) * i / (count - 1);
    sizes.value.push_back(std::clamp(unknown.value(u), unknown.least, unknown.most));
    sizes.weight.push_back(std::exp(-0.5 * u * u));
  }
  return sizes;
}

/// A match that knows nothing: every candidate with its prior.
MatchResult before_evidence(const Circuit& circuit, const Priors& priors) {
  MatchResult result;
  for (Candidate& candidate : candidates(circuit, priors)) {
    FaultFit fit;
    fit.probability = candidate.prior;
    for (const Suspect& suspect : candidate.suspects) {
      const Unknown unknown = severity_unknown(suspect);
      fit.severities.push_back({unknown.value(0), unknown.least, unknown.most});
    }
    fit.candidate = std::move(candidate);
    result.fits.push_back(std::move(fit));
  }
  return result;
}

std::vector<Possibility> possibilities(const Belief& belief, int count) {
  std::vector<Possibility> all;
  for (std::size_t h = 0; h < belief.hypotheses.size(); ++h) {
    if (belief.hypotheses[h].candidate.healthy()) {
      all.push_back({h, {}, 1, 0});
      continue;
    }
    const Sizes sizes = sizes_of(belief.hypotheses[h].candidate.suspects.front(), count);
    double sum = 0;
    for (const double w : sizes.weight) sum += w;
    for (std::size_t i = 0; i < sizes.value.size(); ++i) all.push_back({h, {sizes.value[i]}, sizes.weight[i] / sum, 0});
  }
  return all;
}

Situation situation(double temperature) {
  Situation s;
  s.oil_temperature = temperature, s.cranked = told_crank;
  return s;
}

FaultyStarts starts_of(const Circuit& circuit, const std::vector<Fault>& faults) {
  FaultyStarts starts;
  const Circuit faulty = with_faults(circuit, faults);
  starts.speed = faulty.engine.cranking_speed;
  Procedures procedures(faulty);
  std::size_t at = 0;
  for (const double temperature : {hot_oil, cold_oil})
    for (const bool started : {false, true}) {
      const std::vector<Started> one{{"", started, situation(temperature)}};
      try {
        starts.ln_p[at] = log_likelihood(one, procedures, faults);
      } catch (const Error&) {  // beyond the solver: nothing is said
        starts.ln_p[at] = cannot_be_computed;
      }
      ++at;
    }
  return starts;
}

double mix(double a, double b, double t) { return (1 - t) * a + t * b; }

std::vector<double> mix(const std::vector<double>& a, const std::vector<double>& b, double t) {
  if (a.size() != b.size()) return {};
  std::vector<double> all;
  for (std::size_t i = 0; i < a.size(); ++i) all.push_back(mix(a[i], b[i], t));
  return all;
}

CrankShowing mix(const CrankShowing& a, const CrankShowing& b, double t) {
  CrankShowing m;
  for (double CrankShowing::*member :
       {&CrankShowing::plateau, &CrankShowing::faster, &CrankShowing::charged, &CrankShowing::isolated,
        &CrankShowing::gauge_excess, &CrankShowing::base_pressure, &CrankShowing::rest_volts, &CrankShowing::hold_time})
    m.*member = mix(a.*member, b.*member, t);
  m.one_rail = mix(a.one_rail, b.one_rail, t);
  return m;
}

AirShowing mix(const AirShowing& a, const AirShowing& b, double t) {
  AirShowing m;
  for (std::vector<double> AirShowing::*member : {&AirShowing::open, &AirShowing::energised, &AirShowing::at_pump})
    m.*member = mix(a.*member, b.*member, t);
  m.air_reaches_regulator = a.air_reaches_regulator;
  return m;
}

}  // namespace

const Forecast* FaultTable::find(const std::string& check) const {
  const auto found = std::ranges::find_if(forecasts, [&](const Forecast& f) { return f.check.id == check; });
  return found == forecasts.end() ? nullptr : &*found;
}

FaultTable fault_table(const Circuit& circuit, const Priors& priors, const Costs& costs, const Checks& checks,
                       const FaultTableOptions& options) {
  FaultTable table;
  table.units = options.units;
  table.circuit = circuit, table.costs = costs;
  const MatchResult nothing = before_evidence(circuit, priors);
  BeliefOptions of_belief;
  of_belief.cover = 2, of_belief.most_fits = nothing.fits.size();
  table.belief = belief(circuit, nothing, costs, of_belief);

  Belief coarse = table.belief;
  coarse.possibilities = possibilities(coarse, options.sizes);
  const ShowingNeeds needs = needs_of(circuit, checks.checks);
  const KeptFaults kept(options.kept_in, circuit, coarse, needs);
  std::optional<ComputedFaults> computed = kept.read();
  if (!computed) {
    computed.emplace();
    computed->shows = showings(circuit, nothing, coarse, needs, options.threads, options.tick);
    computed->starts.resize(coarse.possibilities.size());
    in_parallel(computed->starts.size(), options.threads, [&](std::size_t i) {
      const Possibility& p = coarse.possibilities[i];
      computed->starts[i] = starts_of(circuit, coarse.hypotheses[p.hypothesis].candidate.faults(p.severities));
    });
    kept.keep(*computed);
  }
  const auto& [shows, starts] = *computed;

  // What lies between two computed sizes of one hypothesis is read off a straight line.
  table.belief.possibilities = possibilities(table.belief, (options.sizes - 1) * between + 1);
  Showings fine = shows;
  fine.crank.clear(), fine.air.clear();
  std::size_t first = 0;
  for (std::size_t h = 0; h < coarse.hypotheses.size(); ++h) {
    const std::size_t count = coarse.hypotheses[h].candidate.healthy() ? 1 : static_cast<std::size_t>(options.sizes);
    for (std::size_t k = 0; k <= (count - 1) * between; ++k) {
      const std::size_t a = first + k / between, b = std::min(a + 1, first + count - 1);
      const double t = static_cast<double>(k % between) / between;
      fine.crank.push_back(mix(shows.crank[a], shows.crank[b], t));
      if (!shows.air.empty()) fine.air.push_back(mix(shows.air[a], shows.air[b], t));
      std::array<double, 4> ln_p{};
      for (std::size_t i = 0; i < 4; ++i) ln_p[i] = mix(starts[a].ln_p[i], starts[b].ln_p[i], t);
      table.start.push_back(ln_p);
      table.speed.push_back(mix(starts[a].speed, starts[b].speed, t));
    }
    first += count;
  }
  table.forecasts = forecasts(circuit, table.belief, fine, checks.checks, options.units.pressure);
  table.oil_temperature = shows.oil_temperature, table.healthy_speed = shows.healthy_speed;
  return table;
}

}  // namespace railseep
