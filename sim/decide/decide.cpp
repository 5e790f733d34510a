#include "decide/decide.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "decide/forecast.hpp"
#include "decide/wording.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

constexpr double worth_telling = 0.01;  // outcomes less probable than this are not told

std::vector<std::size_t> class_of(const Belief& belief) {
  std::vector<std::size_t> all;
  for (const Possibility& p : belief.possibilities) all.push_back(p.hypothesis);
  return all;
}

/// Weights of the hypotheses from those of the possibilities.
Eigen::VectorXd of_hypotheses(const Belief& belief, const Eigen::VectorXd& weights) {
  Eigen::VectorXd all = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(belief.hypotheses.size()));
  for (std::size_t i = 0; i < belief.possibilities.size(); ++i)
    all[static_cast<Eigen::Index>(belief.possibilities[i].hypothesis)] += weights[static_cast<Eigen::Index>(i)];
  return all;
}

constexpr double as_good_as_proved = 0.9;  // probability of a fault that was seen

/// Probability that one of the places of a fit holds what a look saw.
double seen_share(const Circuit& circuit, const FaultFit& fit, const Inspection& look) {
  double unseen = 1;
  for (std::size_t s = 0; s < fit.candidate.suspects.size(); ++s) {
    const Suspect& suspect = fit.candidate.suspects[s];
    double share = 0;
    for (std::size_t i = 0; i < suspect.places.size(); ++i) {
      const Fault fault{suspect.places[i].place, std::string(suspect.kind->word), 0};
      const double of_place = fit.places.empty() ? 1.0 / static_cast<double>(suspect.places.size()) : fit.places[s][i];
      share += shows(look, circuit, fault) ? of_place : 0;
    }
    unseen *= 1 - share;
  }
  return 1 - unseen;
}

/// The described look that the match believes most, if it does.
std::optional<SeenFault> seen_fault(const Circuit& circuit, const MatchResult& result, const Shop& shop) {
  std::optional<SeenFault> most;
  for (const Inspection& look : shop.seen) {
    double probability = 0;
    for (const FaultFit& fit : result.fits) probability += fit.probability * seen_share(circuit, fit, look);
    if (probability >= as_good_as_proved && (!most || probability > most->probability)) most = {look, probability};
  }
  return most;
}

/// The group that a step opens, or that its part is behind.
std::size_t group_of(const OpeningProblem& problem, int step) {
  const auto groups = static_cast<int>(problem.groups.size());
  return static_cast<std::size_t>(step < groups ? step : problem.trials[static_cast<std::size_t>(step - groups)].group);
}

/// Probability that no group's neglected seals and no unfound fault bring it back.
double comeback_chance(const Belief& belief, const OpeningProblem& problem, const OpeningOrder& order) {
  double chance = order.unfound;
  for (std::size_t i = 0; i < order.steps.size(); ++i)
    chance += order.found[i] * belief.groups[group_of(problem, order.steps[i])].comeback;
  return chance;
}

/// Share of a fault that a step leaves unfound.
double left_unfound(const OpeningCase::Find& find, int step, int groups) {
  if (step >= groups) return find.trial == step - groups ? 0 : 1;
  return find.group == step ? 1 - find.visible : 1;
}

OpeningPlan plan_of(const Belief& belief, const OpeningProblem& problem, const OpeningOrder& order) {
  OpeningPlan plan;
  plan.expected = order.expected, plan.unfound = order.unfound;
  plan.comeback = comeback_chance(belief, problem, order);
  const auto groups = static_cast<int>(problem.groups.size());
  std::vector<double> now;
  for (const Hypothesis& h : belief.hypotheses) now.push_back(h.probability);
  for (std::size_t i = 0; i < order.steps.size(); ++i) {
    const int s = order.steps[i];
    OpeningStep step{group_of(problem, s), {}, {}, order.reached[i], order.found[i], {}};
    if (s >= groups) {
      const auto part = static_cast<std::size_t>(s - groups);
      step.part = belief.parts[part].name, step.cost = problem.trials[part].cost;
    } else {
      step.cost = problem.groups[static_cast<std::size_t>(s)];
    }
    for (std::size_t h = 0; h < now.size(); ++h) {
      double left = 1;
      for (const OpeningCase::Find& find : problem.cases[h].finds) left = std::min(left, left_unfound(find, s, groups));
      if (left == 1) continue;
      step.looks_for.emplace_back(belief.hypotheses[h].title(), now[h] / order.reached[i]);
      if (problem.cases[h].finds.size() == 1) now[h] *= left;
    }
    std::stable_sort(step.looks_for.begin(), step.looks_for.end(),
                     [](const auto& a, const auto& b) { return a.second > b.second; });
    plan.steps.push_back(std::move(step));
  }
  return plan;
}

/// The search by a rule: the group of the highest score first, and its suspected parts renewed before the next.
std::vector<int> ordered_by(const OpeningProblem& problem, const std::function<double(std::size_t)>& score) {
  const auto groups = static_cast<int>(problem.groups.size());
  std::vector<int> order(problem.groups.size()), steps;
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return score(static_cast<std::size_t>(a)) > score(static_cast<std::size_t>(b));
  });
  for (const int group : order) {
    steps.push_back(group);
    for (int trial = 0; trial < static_cast<int>(problem.trials.size()); ++trial)
      if (problem.trials[static_cast<std::size_t>(trial)].group == group) steps.push_back(groups + trial);
  }
  return steps;
}

/// The dearest part that a hypothesis puts behind each group.
std::vector<double> dearest_parts(const Belief& belief, const Costs& costs) {
  std::vector<double> dearest(belief.groups.size(), 0);
  for (const Hypothesis& h : belief.hypotheses)
    for (std::size_t i = 0; i < h.groups.size() && !h.harmless; ++i)
      for (const PossibleFault& place : h.candidate.suspects[i].places) {
        double& d = dearest[static_cast<std::size_t>(h.groups[i])];
        d = std::max(d, costs.repair(std::string(h.candidate.suspects[i].kind->word), place.place).price);
      }
  return dearest;
}

void set_plans(Decision& decision, const Opening& opening) {
  const Belief& belief = decision.belief;
  const OpeningProblem& problem = opening.problem();
  decision.plan = plan_of(belief, problem, opening.best());
  const std::vector<double> dearest = dearest_parts(belief, decision.costs);
  decision.dearest_first =
      plan_of(belief, problem, opening.follow(ordered_by(problem, [&](std::size_t g) { return dearest[g]; })));
  std::vector<double> mass(belief.groups.size(), 0);
  for (const Hypothesis& h : belief.hypotheses)
    for (const int g : h.groups) mass[static_cast<std::size_t>(g)] += h.harmless ? 0 : h.probability;
  decision.by_ratio = plan_of(belief, problem, opening.follow(ordered_by(problem, [&](std::size_t g) {
    return mass[g] / std::max(1e-9, problem.groups[g].money);
  })));
  decision.saved = {decision.dearest_first.expected.money - decision.plan.expected.money,
                    decision.dearest_first.expected.time - decision.plan.expected.time};
}

/// What to do after an outcome: the second check that pays, or the first group of the best order.
std::string then_words(const Belief& belief, const Opening& opening, const std::vector<Forecast>& forecasts,
                       const std::vector<SetUp>& setups, const Check& now, const Eigen::VectorXd& after, int then) {
  if (then >= 0) {
    const Check& next = forecasts[static_cast<std::size_t>(then)].check;
    std::string words = "check next: " + next.name;
    for (const SetUp& one : setups)
      if (std::ranges::find(next.setups, one.name) != next.setups.end() &&
          std::ranges::find(now.setups, one.name) != now.setups.end())
        words += ", " + one.meanwhile;
    return words;
  }
  const OpeningOrder order = opening.best(of_hypotheses(belief, after));
  return order.steps.empty() ? "open nothing: look at sync, injector drive and fuel"
                             : open_words(belief.groups[static_cast<std::size_t>(order.steps.front())]);
}

OutcomeMeaning meaning_of(const Belief& belief, const Eigen::VectorXd& after, std::string outcome, std::string then) {
  OutcomeMeaning meaning;
  meaning.outcome = std::move(outcome), meaning.then = std::move(then);
  meaning.probability = after.sum();
  const Eigen::VectorXd of = of_hypotheses(belief, after) / after.sum();
  meaning.hypotheses.assign(of.begin(), of.end());
  meaning.says = likely_words(belief, meaning.hypotheses);
  return meaning;
}

/// One line for each outcome; neighbouring ranges of a reading that lead to the same step and the same first suspicion
/// are told together.
std::vector<OutcomeMeaning> meanings(const Belief& belief, const Opening& opening,
                                     const std::vector<Forecast>& forecasts, const std::vector<SetUp>& setups,
                                     const Eigen::VectorXd& weights, std::size_t check, const CheckValue& value) {
  const Forecast& forecast = forecasts[check];
  struct Line {
    std::size_t first, last;
    Eigen::VectorXd after;
    std::string then, suspicion, subject;
    std::vector<std::size_t> columns;
  };
  std::vector<Line> lines;
  for (std::size_t o = 0; o < forecast.outcomes.size(); ++o) {
    const Eigen::VectorXd after = weights.cwiseProduct(forecast.likelihood.col(static_cast<Eigen::Index>(o)));
    const Eigen::VectorXd of = of_hypotheses(belief, after);
    Eigen::Index top = 0;
    of.maxCoeff(&top);
    Line line{o,
              o,
              after,
              then_words(belief, opening, forecasts, setups, forecast.check, after, value.then[o]),
              likely_words(belief,
                           [&] {
                             std::vector<double> one(belief.hypotheses.size(), 0);
                             one[static_cast<std::size_t>(top)] = 1;
                             return one;
                           }()),
              forecast.outcomes[o],
              {o}};
    const bool rare = after.sum() < worth_telling;
    if (forecast.ranges && !lines.empty() &&
        (rare || (lines.back().then == line.then && lines.back().suspicion == line.suspicion)))
      lines.back().last = o, lines.back().after += after, lines.back().columns.push_back(o);
    else if (forecast.ranges && !lines.empty() && lines.back().after.sum() < worth_telling)
      line.first = lines.back().first, line.after += lines.back().after,
      line.columns.insert(line.columns.begin(), lines.back().columns.begin(), lines.back().columns.end()),
      lines.back() = line;
    else if (const auto alike = std::find_if(lines.begin(), lines.end(),
                                             [&](const Line& l) {
                                               return !forecast.ending.empty() && o + 1 < forecast.outcomes.size() &&
                                                      l.then == line.then && l.suspicion == line.suspicion;
                                             });
             alike != lines.end())
      alike->subject += " or " + forecast.outcomes[o], alike->after += after, alike->columns.push_back(o);
    else
      lines.push_back(std::move(line));
  }
  std::vector<OutcomeMeaning> told;
  for (const Line& line : lines)
    if (line.after.sum() >= worth_telling) {
      told.push_back(meaning_of(
          belief, line.after,
          forecast.ranges ? forecast.ranges->words(line.first, line.last) : line.subject + forecast.ending, line.then));
      told.back().columns = line.columns;
    }
  std::stable_sort(told.begin(), told.end(),
                   [](const OutcomeMeaning& a, const OutcomeMeaning& b) { return a.probability > b.probability; });
  return told;
}

}  // namespace

Decision decide(const Circuit& circuit, const MatchResult& result, const Costs& costs, const Checks& checks,
                const DecideOptions& options) {
  if (result.fits.empty()) throw Error("match", "it has no candidate", "match a log first");
  Decision decision;
  decision.costs = costs;
  decision.belief = belief(circuit, result, costs, options.belief, options.shop.open);
  if (decision.belief.hypotheses.empty()) throw Error("match", "no candidate has a probability", "match a log first");
  const Belief& belief = decision.belief;
  decision.covers = by_cover(belief);
  decision.seen = seen_fault(circuit, result, options.shop);
  const Opening opening(opening_problem(circuit, belief, costs));
  set_plans(decision, opening);

  std::vector<Check> offered;
  for (const Check& check : checks.checks)
    if (std::find(options.done.begin(), options.done.end(), check.id) == options.done.end() &&
        (options.shop.can_warm || !check.running))
      offered.push_back(check);
  ShowingNeeds needs = needs_of(circuit, offered);
  needs.warmed = options.shop.can_warm;
  const Showings shows =
      showings(circuit, result, belief, needs, options.threads, [&](std::size_t done, std::size_t all) {
        if (options.progress) options.progress(done, all + 1, "computing what each check would show");
      });
  decision.hot = {shows.oil_temperature, shows.speed, shows.healthy_speed, shows.logged_plateau};
  std::vector<Forecast> predicted = forecasts(circuit, belief, shows, offered, options.pressure_unit);
  std::erase_if(predicted, [&](const Forecast& f) {
    return std::find(options.done.begin(), options.done.end(), f.check.id) != options.done.end();
  });

  const Eigen::VectorXd weights = belief.weights();
  const std::vector<std::size_t> classes = class_of(belief);
  decision.unknown_bits = entropy(weights, classes);
  const std::vector<SetUp> setups = setups_left(checks, options.shop);
  std::vector<Cost> setting_up;
  for (const SetUp& one : setups) setting_up.push_back(costs.work(one.time, one.money));
  std::vector<CheckModel> models;
  for (Forecast& forecast : predicted) {
    models.push_back({costs.work(forecast.check.time, forecast.check.money), forecast.likelihood});
    for (std::size_t s = 0; s < setups.size(); ++s)
      if (std::ranges::find(forecast.check.setups, setups[s].name) != forecast.check.setups.end())
        models.back().setups.push_back(s);
    forecast.check = with_set_up(forecast.check, setups);
  }
  const Worth worth = [&](const Eigen::VectorXd& w) { return opening.value(of_hypotheses(belief, w)); };
  const std::vector<CheckValue> values = value_checks(
      weights, classes, models, worth, options.threads,
      [&] {
        if (options.progress) options.progress(0, 1, "weighing the checks");
      },
      setting_up);
  std::vector<Cost> own;
  for (const Forecast& one : predicted) own.push_back(costs.work(one.check.time, one.check.money));
  const double first_opening = decision.plan.steps.empty() ? 0 : decision.plan.steps.front().cost.time;
  const std::vector<CheckStanding> standing =
      standings(values, own, decision.plan.expected, first_opening, decision.unknown_bits);
  for (const std::size_t k : ranking(values, own, standing)) {
    RankedCheck ranked;
    ranked.check = predicted[k].check;
    ranked.cost = own[k];
    ranked.notes = predicted[k].notes;
    ranked.bits = values[k].bits;
    ranked.share = decision.unknown_bits > 0 ? values[k].bits / decision.unknown_bits : 0;
    ranked.tells = tells_words(ranked.share);
    ranked.bits_per_hour = ranked.bits / std::max(ranked.cost.time / 3600, 1e-3);
    ranked.bits_per_money = ranked.bits / std::max(ranked.cost.money, 1e-3);
    ranked.alone = values[k].alone;
    ranked.expected = values[k].expected;
    ranked.without = standing[k].without;
    ranked.pays = standing[k].pays;
    ranked.outcomes = meanings(belief, opening, predicted, setups, weights, k, values[k]);
    ranked.columns = predicted[k].outcomes, ranked.ranges = predicted[k].ranges,
    ranked.sound_engine = predicted[k].sound_engine;
    decision.checks.push_back(std::move(ranked));
  }
  decision.tellings = tellings(result, belief, predicted, costs);
  decision.check_first = !decision.checks.empty() && decision.checks.front().pays;
  decision.assumed = assumed_words(costs, checks, belief, shows);
  return decision;
}

}  // namespace railseep
