// What a check is worth: information against closed forms, looking ahead against every policy there is.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "decide/opening.hpp"
#include "decide/policy.hpp"

namespace railseep {
namespace {

double binary_entropy(double p) { return -p * std::log2(p) - (1 - p) * std::log2(1 - p); }

// Cover and Thomas, Elements of Information Theory: the binary symmetric channel carries 1 - H(e) with equal inputs
// (closed form).
TEST(Information, OfABinarySymmetricChannelIsItsClosedForm) {
  for (const double e : {0.01, 0.11, 0.3}) {
    Eigen::MatrixXd likelihood(2, 2);
    likelihood << 1 - e, e, e, 1 - e;
    EXPECT_NEAR(information(Eigen::Vector2d(0.5, 0.5), {0, 1}, likelihood), 1 - binary_entropy(e), 1e-12);
  }
}

// Same book: of an erasure channel with equal inputs 1 - a comes through.
TEST(Information, OfAnErasureChannelIsItsClosedForm) {
  Eigen::MatrixXd likelihood(2, 3);
  likelihood << 0.7, 0.3, 0, 0, 0.3, 0.7;
  EXPECT_NEAR(information(Eigen::Vector2d(0.5, 0.5), {0, 1}, likelihood), 0.7, 1e-12);
}

TEST(Information, CountsClassesAndNotTheirSeverities) {
  // Two severities of one fault that give different outcomes: nothing is learnt about which fault it is.
  Eigen::MatrixXd likelihood(4, 2);
  likelihood << 1, 0, 0, 1, 1, 0, 0, 1;
  EXPECT_NEAR(information(Eigen::Vector4d(0.25, 0.25, 0.25, 0.25), {0, 0, 1, 1}, likelihood), 0, 1e-12);
  EXPECT_NEAR(entropy(Eigen::Vector4d(1, 1, 1, 1), {0, 0, 1, 1}), 1, 1e-12);
}

struct Small {
  OpeningProblem problem;
  Eigen::VectorXd weights;
  std::vector<std::size_t> class_of;
  std::vector<CheckModel> checks;
  std::vector<Cost> setups;
};

/// Three groups, six possibilities of four cases, three checks of two or three outcomes that share two set-ups.
Small small_case(unsigned seed) {
  std::mt19937 random(seed);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * std::uniform_real_distribution<double>()(random);
  };
  Small small;
  for (int g = 0; g < 3; ++g) small.problem.groups.push_back({uniform(100, 900), uniform(1000, 20000)});
  small.problem.cases = {{0, {}, {uniform(100, 800), 5000}},
                         {0, {{0, {200, 900}, uniform(0.7, 1)}}, {2500, 9000}},
                         {0, {{1, {700, 900}, uniform(0.7, 1)}}, {2500, 9000}},
                         {0, {{2, {300, 900}, uniform(0.7, 1)}}, {2500, 9000}}};
  small.class_of = {0, 1, 1, 2, 3, 3};
  small.weights.resize(6);
  for (double& w : small.weights) w = uniform(0.05, 1);
  small.weights /= small.weights.sum();
  for (const int outcomes : {2, 3, 2}) {
    CheckModel check{{uniform(5, 120), uniform(300, 4000)}, Eigen::MatrixXd(6, outcomes)};
    for (Eigen::Index i = 0; i < 6; ++i) {
      for (Eigen::Index o = 0; o < outcomes; ++o) check.likelihood(i, o) = std::pow(uniform(0, 1), 4);
      check.likelihood.row(i) /= check.likelihood.row(i).sum();
    }
    for (std::size_t setup = 0; setup < 2; ++setup)
      if (random() % 2 == 0) check.setups.push_back(setup);
    small.checks.push_back(check);
  }
  for (int setup = 0; setup < 2; ++setup) small.setups.push_back({uniform(10, 150), uniform(300, 4000)});
  return small;
}

Eigen::VectorXd of_cases(const Small& small, const Eigen::VectorXd& weights) {
  Eigen::VectorXd cases = Eigen::VectorXd::Zero(4);
  for (std::size_t i = 0; i < 6; ++i)
    cases[static_cast<Eigen::Index>(small.class_of[i])] += weights[static_cast<Eigen::Index>(i)];
  return cases;
}

/// Cheapest way to open with these weights: every order of every subset, each reckoned step by step.
double cheapest_opening(const Small& small, const Eigen::VectorXd& weights) {
  const Eigen::VectorXd cases = of_cases(small, weights);
  double cheapest = INFINITY;
  for (unsigned subset = 0; subset < 8; ++subset) {
    std::vector<int> order;
    for (int g = 0; g < 3; ++g)
      if (subset >> g & 1) order.push_back(g);
    do {
      double money = 0;
      for (std::size_t c = 0; c < 4; ++c) {
        const OpeningCase& one = small.problem.cases[c];
        double here = cases[static_cast<Eigen::Index>(c)];
        for (const int g : order) {
          money += here * small.problem.groups[static_cast<std::size_t>(g)].money;
          if (one.finds.empty() || one.finds.front().group != g) continue;
          money += here * one.finds.front().visible * one.finds.front().repair.money;
          here *= 1 - one.finds.front().visible;
        }
        money += here * one.left.money;
      }
      cheapest = std::min(cheapest, money);
    } while (std::next_permutation(order.begin(), order.end()));
  }
  return cheapest;
}

/// @param ready set-ups that are there already
double check_then_open(const Small& small, const Eigen::VectorXd& weights, std::size_t check,
                       const std::vector<std::size_t>& ready = {}) {
  double money = weights.sum() * small.checks[check].cost.money;
  for (const std::size_t setup : small.checks[check].setups)
    if (std::ranges::count(ready, setup) == 0) money += weights.sum() * small.setups[setup].money;
  for (Eigen::Index o = 0; o < small.checks[check].likelihood.cols(); ++o)
    money += cheapest_opening(small, weights.cwiseProduct(small.checks[check].likelihood.col(o)));
  return money;
}

/// Every policy that begins with one check: for each of its outcomes open, or one of the other checks. The cheapest is
/// returned.
double cheapest_policy(const Small& small, std::size_t first) {
  const CheckModel& check = small.checks[first];
  const auto outcomes = static_cast<std::size_t>(check.likelihood.cols());
  std::size_t policies = 1;
  for (std::size_t o = 0; o < outcomes; ++o) policies *= small.checks.size();
  double cheapest = INFINITY;
  for (std::size_t policy = 0; policy < policies; ++policy) {
    double money = small.weights.sum() * check.cost.money;
    for (const std::size_t setup : check.setups) money += small.weights.sum() * small.setups[setup].money;
    std::size_t rest = policy;
    for (std::size_t o = 0; o < outcomes; ++o, rest /= small.checks.size()) {
      const std::size_t choice = rest % small.checks.size();  // the check itself stands for: open
      const Eigen::VectorXd after = small.weights.cwiseProduct(check.likelihood.col(static_cast<Eigen::Index>(o)));
      money += choice == first ? cheapest_opening(small, after) : check_then_open(small, after, choice, check.setups);
    }
    cheapest = std::min(cheapest, money);
  }
  return cheapest;
}

std::vector<CheckValue> values_of(const Small& small, int threads) {
  const Opening opening(small.problem);
  return value_checks(
      small.weights, small.class_of, small.checks,
      [&](const Eigen::VectorXd& w) { return opening.value(of_cases(small, w)); }, threads, {}, small.setups);
}

class AnySmallCase : public testing::TestWithParam<unsigned> {};

TEST_P(AnySmallCase, LookingAheadFindsTheBestOfAllPolicies) {
  const Small small = small_case(GetParam());
  const std::vector<CheckValue> values = values_of(small, 1);
  for (std::size_t k = 0; k < small.checks.size(); ++k) {
    EXPECT_NEAR(values[k].alone.money, check_then_open(small, small.weights, k), 1e-9);
    EXPECT_NEAR(values[k].expected.money, cheapest_policy(small, k), 1e-9);
  }
}

TEST_P(AnySmallCase, FreeLookNeverCosts) {
  Small small = small_case(GetParam());
  for (CheckModel& check : small.checks) check.cost = {}, check.setups.clear();
  const double open = cheapest_opening(small, small.weights);
  for (const CheckValue& value : values_of(small, 1)) {
    EXPECT_LE(value.alone.money, open + 1e-9);
    EXPECT_LE(value.expected.money, value.alone.money + 1e-9);
  }
}

TEST_P(AnySmallCase, ThreadsDoNotChangeAnything) {
  const Small small = small_case(GetParam());
  const std::vector<CheckValue> one = values_of(small, 1), three = values_of(small, 3);
  for (std::size_t k = 0; k < one.size(); ++k) {
    EXPECT_EQ(one[k].expected.money, three[k].expected.money);
    EXPECT_EQ(one[k].bits, three[k].bits);
    EXPECT_EQ(one[k].then, three[k].then);
  }
}

INSTANTIATE_TEST_SUITE_P(Random, AnySmallCase, testing::Range(1u, 9u));

// Two looks through one adapter of 100: the first bears it, the second comes for its own 5. By itself it would cost
// 105.
TEST(Policy, WhatIsSetUpIsPaidOnce) {
  const CheckModel look{{5, 0}, Eigen::MatrixXd::Identity(2, 2), {0}};
  const std::vector<Cost> setups{{100, 0}};
  EXPECT_EQ(setting_up(look, nullptr, setups).money, 100);
  EXPECT_EQ(setting_up(look, &look, setups).money, 0);
  const CheckModel other{{5, 0}, Eigen::MatrixXd::Identity(2, 2), {}};
  EXPECT_EQ(setting_up(look, &other, setups).money, 100);
}

TEST(Policy, TickCanStopTheWork) {
  const Small small = small_case(1);
  struct Stop {};
  EXPECT_THROW(value_checks(
                   small.weights, small.class_of, small.checks,
                   [](const Eigen::VectorXd& w) {
                     return Cost{w.sum(), 0};
                   },
                   2, [] { throw Stop{}; }),
               Stop);
}

/// One check that leads to this sum instead of 1000, in so many minutes.
CheckStanding of_a_look(double sum, double minutes, double hours_of_opening, double bits) {
  CheckValue value;
  value.bits = bits;
  value.alone.money = 1100;
  value.expected.money = sum;
  Cost own, open;
  own.time = 60 * minutes;
  open.money = 1000;
  return standings({value}, {own}, open, 3600 * hours_of_opening, 1).front();
}

// Before nine hours of opening one looks for twenty minutes where that costs as good as nothing; not for an hour, not
// before a cover that is off in one, not for a look that tells next to nothing, and not at any price.
TEST(QuickLook, ComesBeforeHoursOfOpeningWhereItCostsAsGoodAsNothing) {
  EXPECT_TRUE(of_a_look(1005, 20, 9, 0.3).pays);
  EXPECT_FALSE(of_a_look(1030, 20, 9, 0.3).pays);
  EXPECT_FALSE(of_a_look(1005, 60, 9, 0.3).pays);
  EXPECT_FALSE(of_a_look(1005, 20, 1, 0.3).pays);
  EXPECT_FALSE(of_a_look(1005, 20, 9, 0.05).pays);
  EXPECT_TRUE(of_a_look(995, 60, 1, 0.05).pays) << "what spares money pays however long it takes";
}

// Prices are known to no better than a few in a hundred: of checks that come as good as equal the quicker is first.
TEST(QuickLook, OfChecksThatCostTheSameTheQuickerIsFirst) {
  CheckValue slow, fast, dear;
  slow.alone.money = slow.expected.money = 900;
  fast.alone.money = fast.expected.money = 910;
  dear.alone.money = dear.expected.money = 960;
  Cost hour, minutes, open;
  hour.time = 3600;
  minutes.time = 600;
  open.money = 1000;
  const std::vector<CheckValue> values{slow, dear, fast};
  const std::vector<Cost> own{hour, minutes, minutes};
  EXPECT_EQ(ranking(values, own, standings(values, own, open, 0, 1)), (std::vector<std::size_t>{2, 0, 1}));
}

}  // namespace
}  // namespace railseep
