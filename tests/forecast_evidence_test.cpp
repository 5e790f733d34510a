// What `next` promises of a check and what the match grants when its outcome is told are one: an outcome moves the
// probabilities as it was forecast to.
#include <gtest/gtest.h>

#include <cmath>

#include "decide/forecast.hpp"
#include "job/told_outcome.hpp"
#include "made_up_match.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

constexpr double worth_forecasting = 0.05;  // outcomes less probable than this are of no account

/// An engine of which nothing is logged, so that forecast and match see the same typical engine.
struct Promised {
  Circuit circuit = valley_v8();
  MatchResult result;
  Belief believed;
  std::vector<Forecast> forecasts;
  Decision decision;

  Promised() {
    result = matched({fit(suspect(circuit, {"left rail front end plug"}, "hole"), 6e-4, 0.3),
                      fit(suspect(circuit, {"high-pressure pump"}, "wear"), 20, 0.25),
                      fit(suspect(circuit, {"pressure regulator"}, "coil open"), 1, 0.1),
                      fit(suspect(circuit, {"pressure sensor"}, "bias"), -1.2e6, 0.1),
                      fit(suspect(circuit, {"supply"}, "low supply"), 0.85, 0.1), nothing_wrong(0.15)});
    result.logs.clear();
    const Costs costs = read_costs(models_folder() + "costs.json");
    const Checks checks = read_checks(models_folder() + "checks.json");
    believed = belief(circuit, result, costs);
    const Showings shows = showings(circuit, result, believed, needs_of(circuit, checks.checks), 0, {});
    forecasts = railseep::forecasts(circuit, believed, shows, checks.checks, "psi");
    decision = decide(circuit, result, costs, checks);
  }
};

const Promised& promised() {
  static const Promised one;
  return one;
}

const RankedCheck& ranked(const std::string& id) {
  const auto found = std::ranges::find(promised().decision.checks, id, [](const RankedCheck& r) { return r.check.id; });
  if (found == promised().decision.checks.end()) throw Error("test", "no check \"" + id + "\"", "one of the decision");
  return *found;
}

/// p(the outcome, told in any of its ways | possibility), up to a factor that is the same for all.
Eigen::VectorXd granted(const RankedCheck& check, std::size_t column) {
  const Promised& p = promised();
  OutcomeMeaning outcome;
  outcome.outcome = check.columns[column];
  outcome.columns = {column};
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(p.believed.possibilities.size()));
  for (const ToldOutcome& told : ways_to_tell(p.circuit, p.decision, check, outcome)) {
    if (!told.counts()) continue;
    Job job;
    job.name = "a", job.complaint = "b", job.circuit = "models/valley_v8.json";
    tell(job, told);
    const Observations seen = evidence_of(job, {}).observations;
    for (std::size_t i = 0; i < p.believed.possibilities.size(); ++i) {
      const Possibility& possibility = p.believed.possibilities[i];
      const std::vector<Fault> faults =
          p.believed.hypotheses[possibility.hypothesis].candidate.faults(possibility.severities);
      sum[static_cast<Eigen::Index>(i)] += std::exp(log_likelihood(seen, with_faults(p.circuit, faults), faults));
    }
  }
  return sum;
}

/// Probability of each hypothesis once the outcome is known.
Eigen::VectorXd after(const Eigen::VectorXd& likelihood) {
  const Belief& believed = promised().believed;
  Eigen::VectorXd p = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(believed.hypotheses.size()));
  const Eigen::VectorXd weights = believed.weights();
  for (std::size_t i = 0; i < believed.possibilities.size(); ++i)
    p[static_cast<Eigen::Index>(believed.possibilities[i].hypothesis)] +=
        weights[static_cast<Eigen::Index>(i)] * likelihood[static_cast<Eigen::Index>(i)];
  return p / p.sum();
}

class Outcome : public testing::TestWithParam<std::pair<const char*, double>> {};

TEST_P(Outcome, ToldMovesTheProbabilitiesAsForecast) {
  const auto& [id, most] = GetParam();
  const Promised& p = promised();
  int compared = 0;
  for (const Forecast& forecast : p.forecasts) {
    if (!forecast.check.id.starts_with(id)) continue;
    const RankedCheck& check = ranked(forecast.check.id);
    for (std::size_t column = 0; column < forecast.outcomes.size(); ++column) {
      const Eigen::VectorXd expected = forecast.likelihood.col(static_cast<Eigen::Index>(column));
      if (p.believed.weights().dot(expected) < worth_forecasting) continue;
      const Eigen::VectorXd told = granted(check, column);
      if (told.sum() == 0) continue;  // kept in words, and says so (told_outcome_test)
      ++compared;
      const double moved = 0.5 * (after(told) - after(expected)).cwiseAbs().sum();
      EXPECT_LE(moved, most) << forecast.check.id << ": " << forecast.outcomes[column] << "\nforecast "
                             << after(expected).transpose() << "\ntold     " << after(told).transpose();
    }
  }
  EXPECT_GE(compared, 2) << id;
}

// Bounds: looks are one and the same sum; of readings the share that is simply wrong differs a little (spread over the
// ranges, or over all that a gauge can show). Shop air is forecast as the place that hisses most, and told as a word at
// that place. Of gauge against sensor the match takes only whether they agree, not by how much they differ.
INSTANTIATE_TEST_SUITE_P(OfEveryKind, Outcome,
                         testing::Values(std::pair{"oil level", 1e-6}, std::pair{"oil sample", 1e-6},
                                         std::pair{"coil", 1e-6}, std::pair{"regulator screen", 0.02},
                                         std::pair{"sensor volts", 0.05}, std::pair{"base oil gauge", 0.05},
                                         std::pair{"hot crank", 0.05}, std::pair{"isolation", 0.05},
                                         std::pair{"one rail", 0.05}, std::pair{"rail gauge", 0.3},
                                         std::pair{"air open", 0.2}, std::pair{"air energised", 0.2}),
                         [](const auto& tried) {
                           std::string name = tried.param.first;
                           std::erase(name, ' ');
                           return name;
                         });

}  // namespace
}  // namespace railseep
