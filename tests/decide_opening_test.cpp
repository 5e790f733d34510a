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

/// Expected cost of an order, case by case and look by look: nothing of the dynamic programme is used.
Cost by_hand(const OpeningProblem& problem, const std::vector<int>& order) {
  Cost expected;
  for (const OpeningCase& one : problem.cases) {
    const std::size_t faults = one.finds.size();
    for (unsigned seen = 0; seen < (1u << faults); ++seen) {
      double p = one.probability;
      for (std::size_t i = 0; i < faults; ++i) p *= (seen >> i & 1) ? 1 - problem.miss : problem.miss;
      std::size_t found = 0;
      bool proved = false;
      Cost spent;
      for (const int g : order) {
        spent += problem.groups[static_cast<std::size_t>(g)];
        for (std::size_t i = 0; i < faults; ++i)
          if (one.finds[i].group == g && (seen >> i & 1)) spent += one.finds[i].repair, ++found;
        proved = faults > 0 && found == faults;
        if (proved) break;
      }
      if (!proved) spent += one.left;
      expected += p * spent;
    }
  }
  return expected;
}

/// Calls with every order of every subset of the groups: all ways to open and to stop.
void for_each_order(std::size_t groups, const std::function<void(const std::vector<int>&)>& call) {
  for (unsigned subset = 0; subset < (1u << groups); ++subset) {
    std::vector<int> order;
    for (std::size_t g = 0; g < groups; ++g)
      if (subset >> g & 1) order.push_back(static_cast<int>(g));
    do call(order);
    while (std::next_permutation(order.begin(), order.end()));
  }
}

/// @param pairs cases with two faults among them
OpeningProblem random_problem(unsigned seed, std::size_t groups, bool pairs) {
  std::mt19937 random(seed);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * std::uniform_real_distribution<double>()(random);
  };
  const auto some_group = [&] { return static_cast<int>(random() % groups); };
  OpeningProblem problem;
  problem.miss = uniform(0, 0.3);
  for (std::size_t g = 0; g < groups; ++g) problem.groups.push_back({uniform(20, 900), uniform(600, 30000)});
  for (int i = 0; i < 9; ++i) {
    OpeningCase one;
    one.probability = uniform(0, 1);
    one.left = {uniform(100, 2500), uniform(1000, 40000)};
    const int faults = i == 0 ? 0 : pairs && i > 6 ? 2 : 1;
    for (int f = 0; f < faults; ++f) one.finds.push_back({some_group(), {uniform(50, 1500), uniform(900, 9000)}});
    problem.cases.push_back(one);
  }
  double sum = 0;
  for (const OpeningCase& one : problem.cases) sum += one.probability;
  for (OpeningCase& one : problem.cases) one.probability /= sum;
  return problem;
}

class AnyOpening : public testing::TestWithParam<unsigned> {};

TEST_P(AnyOpening, BestOrderIsTheCheapestOfAllOrdersAndStops) {
  const OpeningProblem problem = random_problem(GetParam(), 5, GetParam() % 2 == 1);
  double cheapest = INFINITY;
  for_each_order(5,
                 [&](const std::vector<int>& order) { cheapest = std::min(cheapest, by_hand(problem, order).money); });
  const Opening opening(problem);
  const OpeningOrder best = opening.best();
  EXPECT_NEAR(best.expected.money, cheapest, 1e-9 * cheapest);
  EXPECT_NEAR(by_hand(problem, best.groups).money, cheapest, 1e-9 * cheapest);
  EXPECT_NEAR(by_hand(problem, best.groups).time, best.expected.time, 1e-9 * best.expected.time);
}

TEST_P(AnyOpening, AnyOrderCostsWhatItCostsByHand) {
  const OpeningProblem problem = random_problem(GetParam(), 4, true);
  const Opening opening(problem);
  for_each_order(4, [&](const std::vector<int>& order) {
    const Cost hand = by_hand(problem, order);
    const OpeningOrder followed = opening.follow(order);
    EXPECT_NEAR(followed.expected.money, hand.money, 1e-9 * hand.money);
    EXPECT_NEAR(followed.expected.time, hand.time, 1e-9 * hand.time);
  });
}

// Kalagnanam and Henrion (1990), A comparison of decision analysis and expert rules for sequential diagnosis: one
// fault, independent costs, searched until found: by falling p/c.
TEST_P(AnyOpening, FollowsTheRatioRuleForOneFaultThatMustBeFound) {
  OpeningProblem problem = random_problem(GetParam(), 6, false);
  problem.miss = 0;
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
  EXPECT_EQ(Opening(problem).best().groups, rule);
}

TEST_P(AnyOpening, ValueIsProportionalToTheWeights) {
  const OpeningProblem problem = random_problem(GetParam(), 5, true);
  const Opening opening(problem);
  Eigen::VectorXd weights(static_cast<Eigen::Index>(problem.cases.size()));
  for (std::size_t i = 0; i < problem.cases.size(); ++i)
    weights[static_cast<Eigen::Index>(i)] = problem.cases[i].probability;
  EXPECT_NEAR(opening.value(0.137 * weights).money, 0.137 * opening.best().expected.money, 1e-9);
}

INSTANTIATE_TEST_SUITE_P(Random, AnyOpening, testing::Range(1u, 13u));

TEST(Opening, OpensNothingWhenTheOilSideIsMostLikelySound) {
  const Opening opening({{{500, 7200}}, {{0.98, {}, {200, 3600}}, {0.02, {{0, {300, 3600}}}, {1500, 9000}}}, 0.1});
  EXPECT_TRUE(opening.best().groups.empty());
  EXPECT_DOUBLE_EQ(opening.best().expected.money, 0.98 * 200 + 0.02 * 1500);
  EXPECT_DOUBLE_EQ(opening.best().unfound, 0.02);
}

TEST(Opening, ProbabilitiesOfItsStepsAddUp) {
  const OpeningProblem problem = random_problem(5, 5, true);
  const OpeningOrder best = Opening(problem).best();
  double healthy = 0;
  for (const OpeningCase& one : problem.cases)
    if (one.finds.empty()) healthy += one.probability;
  EXPECT_NEAR(std::accumulate(best.found.begin(), best.found.end(), 0.0) + best.unfound + healthy, 1, 1e-12);
}

TEST(Opening, RefusesWhatItCanNotReckonWith) {
  EXPECT_THROW(Opening({std::vector<Cost>(13), {}, 0}), Error);
  EXPECT_THROW(Opening({{{1, 1}}, {}, 1.5}), Error);
  EXPECT_THROW(Opening({{{1, 1}}, {{1, {{1, {}}}, {}}}, 0}), Error);
}

}  // namespace
}  // namespace railseep
