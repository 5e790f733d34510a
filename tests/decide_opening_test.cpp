// The order of opening against brute force: every order, every place to stop, every way to see or miss a fault.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>
#include <random>

#include "decide/opening.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

/// Expected cost of a sequence of steps, case by case and look by look: nothing of the dynamic programme is used.
Cost by_hand(const OpeningProblem& problem, const std::vector<int>& steps) {
  const auto groups = static_cast<int>(problem.groups.size());
  Cost expected;
  for (const OpeningCase& one : problem.cases) {
    const std::size_t faults = one.finds.size();
    for (unsigned seen = 0; seen < (1u << faults); ++seen) {
      double p = one.probability;
      for (std::size_t i = 0; i < faults; ++i) p *= (seen >> i & 1) ? one.finds[i].visible : 1 - one.finds[i].visible;
      std::vector<bool> mended(faults, false);
      bool proved = false;
      Cost spent;
      for (const int step : steps) {
        if (step < groups) {
          spent += problem.groups[static_cast<std::size_t>(step)];
          for (std::size_t i = 0; i < faults; ++i)
            if (one.finds[i].group == step && (seen >> i & 1)) spent += one.finds[i].repair, mended[i] = true;
        } else {  // the part is renewed and the engine proved, whether it was the fault or not
          spent += problem.trials[static_cast<std::size_t>(step - groups)].cost;
          for (std::size_t i = 0; i < faults; ++i)
            if (one.finds[i].trial == step - groups) mended[i] = true;
        }
        proved = faults > 0 && std::ranges::count(mended, true) == static_cast<long>(faults);
        if (proved) break;
      }
      if (!proved) spent += one.left;
      expected += p * spent;
    }
  }
  return expected;
}

/// Calls with every sequence of every subset of the steps in which no part is tried behind a closed cover: all ways to
/// open, to try and to stop.
void for_each_order(const OpeningProblem& problem, const std::function<void(const std::vector<int>&)>& call) {
  const std::size_t groups = problem.groups.size(), steps = groups + problem.trials.size();
  for (unsigned subset = 0; subset < (1u << steps); ++subset) {
    std::vector<int> order;
    for (std::size_t step = 0; step < steps; ++step)
      if (subset >> step & 1) order.push_back(static_cast<int>(step));
    do {
      bool possible = true;
      for (std::size_t i = 0; i < order.size() && possible; ++i)
        possible = order[i] < static_cast<int>(groups) ||
                   std::find(order.begin(), order.begin() + static_cast<long>(i),
                             problem.trials[static_cast<std::size_t>(order[i]) - groups].group) !=
                       order.begin() + static_cast<long>(i);
      if (possible) call(order);
    } while (std::next_permutation(order.begin(), order.end()));
  }
}

/// @param trials that some of the faults are mended by; @param pairs cases with two faults among them
OpeningProblem random_problem(unsigned seed, std::size_t groups, std::size_t trials, bool pairs) {
  std::mt19937 random(seed);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * std::uniform_real_distribution<double>()(random);
  };
  const auto some_group = [&] { return static_cast<int>(random() % groups); };
  OpeningProblem problem;
  for (std::size_t g = 0; g < groups; ++g) problem.groups.push_back({uniform(20, 900), uniform(600, 30000)});
  for (std::size_t t = 0; t < trials; ++t)
    problem.trials.push_back({some_group(), {uniform(100, 1800), uniform(900, 20000)}});
  for (int i = 0; i < 9; ++i) {
    OpeningCase one;
    one.probability = uniform(0, 1);
    one.left = {uniform(100, 2500), uniform(1000, 40000)};
    const int faults = i == 0 ? 0 : pairs && i > 6 ? 2 : 1;
    for (int f = 0; f < faults; ++f) {
      one.finds.push_back({some_group(), {uniform(50, 1500), uniform(900, 9000)}, uniform(0, 1)});
      if (trials == 0 || random() % 3 == 0) continue;
      one.finds.back().trial = static_cast<int>(random() % trials);
      one.finds.back().group = problem.trials[static_cast<std::size_t>(one.finds.back().trial)].group;
    }
    problem.cases.push_back(one);
  }
  double sum = 0;
  for (const OpeningCase& one : problem.cases) sum += one.probability;
  for (OpeningCase& one : problem.cases) one.probability /= sum;
  return problem;
}

class AnyOpening : public testing::TestWithParam<unsigned> {};

TEST_P(AnyOpening, BestOrderIsTheCheapestOfAllOrdersAndStops) {
  const OpeningProblem problem = random_problem(GetParam(), 4, 3, GetParam() % 2 == 1);
  double cheapest = INFINITY;
  for_each_order(problem,
                 [&](const std::vector<int>& order) { cheapest = std::min(cheapest, by_hand(problem, order).money); });
  const Opening opening(problem);
  const OpeningOrder best = opening.best();
  EXPECT_NEAR(best.expected.money, cheapest, 1e-9 * cheapest);
  EXPECT_NEAR(by_hand(problem, best.steps).money, cheapest, 1e-9 * cheapest);
  EXPECT_NEAR(by_hand(problem, best.steps).time, best.expected.time, 1e-9 * best.expected.time);
}

TEST_P(AnyOpening, AnyOrderCostsWhatItCostsByHand) {
  const OpeningProblem problem = random_problem(GetParam(), 3, 2, true);
  const Opening opening(problem);
  for_each_order(problem, [&](const std::vector<int>& order) {
    const Cost hand = by_hand(problem, order);
    const OpeningOrder followed = opening.follow(order);
    EXPECT_NEAR(followed.expected.money, hand.money, 1e-9 * hand.money);
    EXPECT_NEAR(followed.expected.time, hand.time, 1e-9 * hand.time);
  });
}

// Kalagnanam and Henrion (1990), A comparison of decision analysis and expert rules for sequential diagnosis: one
// fault, independent costs, searched until found: by falling p/c.
TEST_P(AnyOpening, FollowsTheRatioRuleForOneFaultThatMustBeFound) {
  OpeningProblem problem = random_problem(GetParam(), 6, 0, false);
  problem.cases.clear();
  std::mt19937 random(GetParam());
  std::vector<double> p(6);
  for (double& x : p) x = 1.0 + static_cast<double>(random() % 1000);
  const double sum = std::accumulate(p.begin(), p.end(), 0.0);
  for (int g = 0; g < 6; ++g)
    problem.cases.push_back({p[static_cast<std::size_t>(g)] / sum, {{g, {300, 3600}}}, {1e7, 0}});
  std::vector<int> rule(6);
  std::iota(rule.begin(), rule.end(), 0);
  const auto ratio = [&](int g) {
    return p[static_cast<std::size_t>(g)] / problem.groups[static_cast<std::size_t>(g)].money;
  };
  std::sort(rule.begin(), rule.end(), [&](int a, int b) { return ratio(a) > ratio(b); });
  EXPECT_EQ(Opening(problem).best().steps, rule);
}

TEST_P(AnyOpening, ValueIsProportionalToTheWeights) {
  const OpeningProblem problem = random_problem(GetParam(), 5, 3, true);
  const Opening opening(problem);
  Eigen::VectorXd weights(static_cast<Eigen::Index>(problem.cases.size()));
  for (std::size_t i = 0; i < problem.cases.size(); ++i)
    weights[static_cast<Eigen::Index>(i)] = problem.cases[i].probability;
  EXPECT_NEAR(opening.value(0.137 * weights).money, 0.137 * opening.best().expected.money, 1e-9);
}

INSTANTIATE_TEST_SUITE_P(Random, AnyOpening, testing::Range(1u, 13u));

TEST(Opening, OpensNothingWhenTheOilSideIsMostLikelySound) {
  const Opening opening({{{500, 7200}}, {{0.98, {}, {200, 3600}}, {0.02, {{0, {300, 3600}, 0.9}}, {1500, 9000}}}});
  EXPECT_TRUE(opening.best().steps.empty());
  EXPECT_DOUBLE_EQ(opening.best().expected.money, 0.98 * 200 + 0.02 * 1500);
  EXPECT_DOUBLE_EQ(opening.best().unfound, 0.02);
}

TEST(Opening, ProbabilitiesOfItsStepsAddUp) {
  const OpeningProblem problem = random_problem(5, 5, 3, true);
  const OpeningOrder best = Opening(problem).best();
  double healthy = 0;
  for (const OpeningCase& one : problem.cases)
    if (one.finds.empty()) healthy += one.probability;
  EXPECT_NEAR(std::accumulate(best.found.begin(), best.found.end(), 0.0) + best.unfound + healthy, 1, 1e-12);
}

// A pump of 1400 that a look does not show (0.15), 400 to reach it, 300 to renew and prove, against a seal elsewhere:
// the wrong pump is paid. By hand, with the pump at p, everything left unfound costing 5000:
//   pump first   400 + 0.85p*1700 + 0.15p*1700 + (1-p)*(1700 + 200 + 100)
//   seal first   200 + (1-p)*100 + p*(400 + 1700)
// so the seal is looked for first wherever 400 + 1700p + 2000(1-p) > 200 + 100(1-p) + 2100p, which is p < 21/23.
// With a pump that shows (1.0) nothing is paid for a wrong one: 400 + 1700p + (1-p)*300 against the same; p < 4/6.
TEST(Opening, AWrongPartOnSuspicionIsPaid) {
  const auto first = [](double p, double visible) {
    OpeningProblem problem;
    problem.groups = {{400, 0}, {200, 0}};
    problem.trials = {{0, {1700, 0}}};
    problem.cases = {{p, {{0, {1700, 0}, visible, 0}}, {5000, 0}}, {1 - p, {{1, {100, 0}, 1, -1}}, {5000, 0}}};
    return Opening(problem).best().steps.front();
  };
  EXPECT_EQ(first(21.0 / 23 - 0.01, 0.15), 1);
  EXPECT_EQ(first(21.0 / 23 + 0.01, 0.15), 0);
  EXPECT_EQ(first(4.0 / 6 - 0.01, 1), 1);
  EXPECT_EQ(first(4.0 / 6 + 0.01, 1), 0);
}

// What a look never shows and no part on suspicion renews is not worth opening for.
TEST(Opening, DoesNotOpenForWhatItCannotSeeOrTry) {
  OpeningProblem problem{{{100, 0}}, {{1, {{0, {50, 0}, 0, -1}}, {900, 0}}}};
  EXPECT_TRUE(Opening(problem).best().steps.empty());
  problem.trials = {{0, {200, 0}}}, problem.cases[0].finds[0].trial = 0;
  EXPECT_EQ(Opening(problem).best().steps, (std::vector<int>{0, 1}));
  EXPECT_DOUBLE_EQ(Opening(problem).best().expected.money, 300);
}

TEST(Opening, RefusesWhatItCanNotReckonWith) {
  EXPECT_THROW(Opening({std::vector<Cost>(most_opening_steps + 1), {}}), Error);
  EXPECT_THROW(Opening({{{1, 1}}, {{1, {{0, {}, 1.5}}, {}}}}), Error);
  EXPECT_THROW(Opening({{{1, 1}}, {{1, {{1, {}}}, {}}}}), Error);
  EXPECT_THROW(Opening({{{1, 1}}, {}, {{1, {}}}}), Error);
  EXPECT_THROW(Opening({{{1, 1}}, {{1, {{0, {}, 1, 0}}, {}}}}), Error);
}

}  // namespace
}  // namespace railseep
