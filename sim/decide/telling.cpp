#include "decide/telling.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "decide/policy.hpp"
#include "decide/wording.hpp"

namespace railseep {

namespace {

constexpr double tells = 0.3, tells_something = 0.1;  // of what is not known between the members

/// Weights of the possibilities that belong to a set, 0 for the others.
Eigen::VectorXd of_set(const Belief& belief, const LookAlikes& set) {
  Eigen::VectorXd weights = belief.weights();
  for (std::size_t i = 0; i < belief.possibilities.size(); ++i) {
    const std::size_t fit = belief.hypotheses[belief.possibilities[i].hypothesis].fit;
    if (std::find(set.fits.begin(), set.fits.end(), fit) == set.fits.end()) weights[static_cast<Eigen::Index>(i)] = 0;
  }
  return weights;
}

bool behind_one_cover(const Belief& belief, const LookAlikes& set) {
  std::set<std::vector<int>> covers;
  for (const Hypothesis& h : belief.hypotheses)
    if (std::find(set.fits.begin(), set.fits.end(), h.fit) != set.fits.end())
      covers.insert(h.candidate.healthy() ? std::vector<int>{-1} : h.groups);
  return covers.size() < 2;
}

std::string words_of(const Telling& telling, const std::string& currency) {
  if (telling.one_cover) return "the same opening reaches all of them: nothing need be told apart first.";
  if (!telling.check) return "no check of the catalogue does; it has to be found by opening.";
  const auto whole = [](double value) { return std::to_string(std::lround(value)); };
  return telling.check->name + " (" + whole(telling.check->time / 60) + " min, " + whole(telling.cost.money) + " " +
         currency + ") is expected to tell " + tells_words(telling.bits / telling.unknown_bits) + " of it.";
}

Telling telling_of(const LookAlikes& set, const Belief& belief, const std::vector<Forecast>& forecasts,
                   const Costs& costs) {
  Telling telling;
  const Eigen::VectorXd weights = of_set(belief, set);
  std::vector<std::size_t> classes;
  for (const Possibility& p : belief.possibilities) classes.push_back(p.hypothesis);
  telling.unknown_bits = entropy(weights, classes);
  telling.one_cover = behind_one_cover(belief, set);
  double share = tells_something;
  for (const Forecast& forecast : forecasts) {
    if (telling.one_cover) break;
    const double bits = information(weights, classes, forecast.likelihood), now = bits / telling.unknown_bits;
    const Cost cost = costs.work(forecast.check.time, forecast.check.money);
    // Less than enough: the most telling. Enough: the cheapest.
    const bool better = share < tells ? now > share : now >= tells && cost.money < telling.cost.money;
    if (!better) continue;
    telling.check = forecast.check, telling.cost = cost, telling.bits = bits;
    share = now;
  }
  telling.words = words_of(telling, costs.currency);
  return telling;
}

/// Only what the sets hold: nothing is computed for the others.
void keep_members(const MatchResult& result, Belief& belief) {
  std::set<std::size_t> members;
  for (const LookAlikes& set : result.sets) members.insert(set.fits.begin(), set.fits.end());
  std::erase_if(belief.possibilities,
                [&](const Possibility& p) { return !members.contains(belief.hypotheses[p.hypothesis].fit); });
}

}  // namespace

std::vector<Telling> tellings(const MatchResult& result, const Belief& belief, const std::vector<Forecast>& forecasts,
                              const Costs& costs) {
  std::vector<Telling> all;
  for (const LookAlikes& set : result.sets) all.push_back(telling_of(set, belief, forecasts, costs));
  return all;
}

std::vector<Telling> what_would_tell(const Circuit& circuit, const MatchResult& result, const Costs& costs,
                                     const Checks& checks, const std::vector<std::string>& done, int threads) {
  if (result.sets.empty()) return {};
  Belief members = belief(circuit, result, costs);
  keep_members(result, members);
  const auto is_done = [&](const Check& check) { return std::find(done.begin(), done.end(), check.id) != done.end(); };
  std::vector<Check> offered;
  std::ranges::copy_if(checks.checks, std::back_inserter(offered), [&](const Check& check) { return !is_done(check); });
  std::vector<Forecast> predicted = forecasts(
      circuit, members, showings(circuit, result, members, needs_of(circuit, offered), threads, {}), offered, "psi");
  std::erase_if(predicted, [&](const Forecast& forecast) { return is_done(forecast.check); });
  for (Forecast& forecast : predicted) forecast.check = with_set_up(forecast.check, checks.setups);
  return tellings(result, members, predicted, costs);
}

}  // namespace railseep
