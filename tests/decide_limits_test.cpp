// What the decision counts: errors of checks, and the price of a second failure.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "decide/decide.hpp"
#include "made_up_match.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

/// Two possibilities that would show these pressures hot, and a check of that pressure with this error.
Forecast of_pressures(double one, double other, const std::string& id, double error) {
  const Circuit circuit = valley_v8();
  const MatchResult result = matched({fit(suspect(circuit, {"left rail front end plug"}, "hole"), 5e-4, 0.5),
                                      fit(suspect(circuit, {"high-pressure pump"}, "wear"), 10, 0.5)});
  const Belief all = belief(circuit, result, read_costs(models_folder() + "costs.json"));
  Showings shows;
  shows.crank.resize(all.possibilities.size());
  shows.hot_logged = id == "read again";
  shows.healthy_speed = 1, shows.speed = 0.5;
  for (std::size_t i = 0; i < shows.crank.size(); ++i) {
    const double pressure = all.possibilities[i].hypothesis == 0 ? one : other;
    shows.crank[i].plateau = shows.crank[i].isolated = shows.crank[i].charged = pressure;
    shows.crank[i].one_rail = {pressure, pressure};
  }
  Check check;
  check.id = id, check.error = error, check.slip = 0;
  return forecasts(circuit, all, shows, {check}, "psi").front();
}

double bits(const Forecast& forecast) {
  const auto n = forecast.likelihood.rows();
  std::vector<std::size_t> classes;
  for (Eigen::Index i = 0; i < n; ++i) classes.push_back(static_cast<std::size_t>(i < n / 2 ? 0 : 1));
  return information(Eigen::VectorXd::Constant(n, 1.0 / static_cast<double>(n)), classes, forecast.likelihood);
}

double normal_below(double x, double mean, double deviation) {
  return 0.5 * std::erfc((mean - x) / (deviation * std::sqrt(2.0)));
}

// A reading is normal about the computed pressure, with the check's share of it and 0.05 MPa of sensor and model
// (assumed) as its deviation.
TEST(Forecast, SpreadsAPressureOverItsRangesByTheErrorOfTheCheck) {
  constexpr double psi = 6894.757293168;
  for (const char* id : {"hot crank", "read again", "isolation", "charged batteries", "one rail"})
    for (const double error : {0.04, 0.2}) {
      // As the match believes a pressure that is typed in: the model's share (more where the duty is commanded) and
      // constant part, all assumed, and the check's own error.
      const double share = id == std::string("isolation") ? 0.2 : 0.08;
      const double pressure = 480 * psi, deviation = std::hypot(std::hypot(5e4, share * pressure), error * pressure);
      const Forecast forecast = of_pressures(pressure, 700 * psi, id, error);
      ASSERT_TRUE(forecast.ranges) << id;
      const std::vector<double>& edges = forecast.ranges->edges;
      for (std::size_t k = 0; k + 1 < edges.size(); ++k)
        EXPECT_NEAR(forecast.likelihood(0, static_cast<Eigen::Index>(k + 1)),
                    normal_below(edges[k + 1], pressure, deviation) - normal_below(edges[k], pressure, deviation), 1e-6)
            << id << error << k;
    }
}

TEST(Forecast, TellsLessTheGreaterTheErrorOfTheCheck) {
  double before = 1.02;
  for (const double error : {0.02, 0.1, 0.25, 0.6}) {
    const double now = bits(of_pressures(2.2e6, 3.4e6, "isolation", error));
    EXPECT_LT(now, before - 0.01) << error;
    before = now;
  }
}

// With a cheap check to be had, what is expected to be paid rises with its error: a wrong cover is opened oftener.
TEST(CheckValue, FallsWithTheErrorOfTheCheck) {
  const Worth open = [](const Eigen::VectorXd& w) {  // the likelier cover first, 100 each
    const double first = w.head(w.size() / 2).sum(), second = w.tail(w.size() / 2).sum();
    return Cost{100 * (std::max(first, second) + 2 * std::min(first, second)), 0};
  };
  double before = 0;
  for (const double error : {0.02, 0.1, 0.25, 0.6}) {
    const Forecast forecast = of_pressures(2.2e6, 3.4e6, "isolation", error);
    const auto n = forecast.likelihood.rows();
    std::vector<std::size_t> classes;
    for (Eigen::Index i = 0; i < n; ++i) classes.push_back(static_cast<std::size_t>(i < n / 2 ? 0 : 1));
    const double now = value_checks(Eigen::VectorXd::Constant(n, 1.0 / static_cast<double>(n)), classes,
                                    {{Cost{1, 0}, forecast.likelihood}}, open, 1)
                           .front()
                           .alone.money;
    EXPECT_GT(now, before + 0.1) << error;
    before = now;
  }
}

/// A shop whose prices can be added up by hand: one unit of money a minute.
Costs plain() {
  Costs costs;
  costs.hourly_rate = 60;
  costs.opening_money = 20, costs.looking_time = 600;
  costs.proving_time = 3600, costs.proving_money = 40;
  costs.comeback_money = 300, costs.towing_money = 100, costs.comeback_time = 3600;
  costs.together_labour = 0.5;
  costs.repairs = {{"", "", "seal", 10, 0, 0}};
  costs.outside = {{"elsewhere", {}, 0, 0}};
  return costs;
}

// Renewing a seal beside the one that failed costs half its labour and the seal. Leaving it costs, as often as it
// fails, a comeback (300 + 100 + 60), opening and looking again (labour of the cover + 10 + 20), the seal with its
// whole labour, and the proof (60 + 40). Where the two are equal the advice turns.
TEST(RenewTogether, TurnsWhereASecondFailureCostsAsMuch) {
  const Circuit circuit = valley_v8();
  const MatchResult result = matched({fit(suspect(circuit, {"left rail front end plug"}, "hole"), 5e-4, 1)});
  double cover = 0;
  for (const Access& access : circuit.access)
    if (access.name == "left valve cover") cover = access.labour / 60;
  ASSERT_GT(cover, 0);
  for (const Site& site : circuit.sites) {
    if (site.access != "left valve cover") continue;
    const double labour = site.labour / 60, now = 0.5 * labour + 10,
                 later = 460 + (cover + 10 + 20) + (labour + 10) + 100;
    for (const double factor : {0.9, 0.99, 1.01, 1.5}) {
      Costs costs = plain();
      costs.repairs.insert(costs.repairs.begin(), RepairPrice{"", site.name, "seal", 10, 0, factor * now / later});
      const WorkGroup group = belief(circuit, result, costs).groups.front();
      const bool renewed = std::ranges::find(group.together, site.name) != group.together.end();
      EXPECT_EQ(renewed, factor > 1) << site.name << " " << factor;
      if (renewed)
        EXPECT_NEAR(group.together_saves, (factor - 1) * now, 1e-9) << site.name;
      else
        EXPECT_NEAR(group.comeback, factor * now / later, 1e-12) << site.name;
    }
  }
}

}  // namespace
}  // namespace railseep
