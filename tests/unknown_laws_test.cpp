// Unknowns that decide between kinds: how free air is compressed, how slip goes with viscosity, a told temperature that
// is wrong.
#include <gtest/gtest.h>

#include "after/shortfalls.hpp"
#include "hypothesis/unknown.hpp"
#include "made_up_match.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

using Where = Unknown::Where;

CrankEvidence crank_at(double celsius) {
  CrankEvidence log;
  log.condition.oil_temperature = 273.15 + celsius;
  log.sample_interval = 0.25;
  return log;
}

std::optional<std::size_t> find(const std::vector<Unknown>& all, Where where) {
  const auto found = std::ranges::find(all, where, &Unknown::where);
  if (found == all.end()) return std::nullopt;
  return static_cast<std::size_t>(found - all.begin());
}

/// The engine of a log with one unknown away from its usual value.
Assumed with(const std::vector<CrankEvidence>& logs, std::size_t log, Where where, double si) {
  const std::vector<Unknown> all = nuisances(inline_six(), logs);
  Eigen::VectorXd u = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(all.size()));
  const std::size_t at = find(all, where).value();
  u[static_cast<Eigen::Index>(at)] = all[at].coordinate(si);
  return assume(inline_six(), {}, all, logs, log, u);
}

// Between isothermal, 1, and adiabatic, 1.4 (the ratio of specific heats of air).
TEST(UnknownLaws, FreeAirIsCompressedBetweenIsothermallyAndAdiabatically) {
  const std::vector<CrankEvidence> logs{crank_at(90)};
  const std::vector<Unknown> all = nuisances(inline_six(), logs);
  const Unknown& exponent = all[find(all, Where::air_exponent).value()];
  EXPECT_EQ(exponent.value(-9), 1);
  EXPECT_EQ(exponent.value(9), 1.4);
  const Assumed assumed = with(logs, 0, Where::air_exponent, 1.3);
  // p*v^n = const: at 100 times the pressure 100^(-1/1.3) of the volume is left.
  EXPECT_NEAR(oil_of(assumed.circuit, assumed.condition).gas.expansion(100 * atmospheric_pressure),
              std::pow(100, -1 / 1.3), 1e-9);
}

double slip_of(const Circuit& circuit) {
  for (const Link& link : circuit.links)
    if (const Pump* pump = std::get_if<Pump>(&link.element)) return pump->slip;
  return NAN;
}

// With the whole slip independent of viscosity (x = 1) the pump loses as much when cold as when hot: slip/viscosity is
// the same. In the hottest log nothing changes.
TEST(UnknownLaws, SlipThatDoesNotFollowViscosityIsTheSameColdAndHot) {
  const std::vector<CrankEvidence> logs{crank_at(20), crank_at(90)};
  const auto per_viscosity = [&](std::size_t log) {
    const Assumed assumed = with(logs, log, Where::slip_law, 1);
    return slip_of(assumed.circuit) / oil_of(assumed.circuit, assumed.condition).viscosity;
  };
  EXPECT_NEAR(per_viscosity(0) / per_viscosity(1), 1, 1e-9);
  EXPECT_NEAR(slip_of(with(logs, 1, Where::slip_law, 1).circuit) / slip_of(inline_six()), 1, 1e-9);
}

TEST(UnknownLaws, LogsOfOneTemperatureFeelNoLawOfTemperature) {
  EXPECT_FALSE(find(nuisances(inline_six(), {crank_at(90), crank_at(87)}), Where::slip_law));
  EXPECT_TRUE(find(nuisances(inline_six(), {crank_at(90), crank_at(80)}), Where::slip_law));
}

// A normal is 2.5 deviations off or more in 1 of 80; a measured temperature is then 20 K off, a guessed one 2.5 times
// its doubt.
TEST(UnknownLaws, AToldTemperatureMayBeTwentyKelvinOff) {
  CrankEvidence guessed = crank_at(40);
  guessed.temperature_doubt = 25;
  const std::vector<Unknown> all = nuisances(inline_six(), {crank_at(90), guessed});
  std::vector<Unknown> temperatures;
  for (const Unknown& unknown : all)
    if (unknown.where == Where::oil_temperature) temperatures.push_back(unknown);
  ASSERT_EQ(temperatures.size(), 2u);
  EXPECT_NEAR(temperatures[0].value(2.5) - 363.15, 20, 0.5);
  EXPECT_NEAR(temperatures[0].value(-1) - 363.15, -3, 1) << "most are as good as before";
  EXPECT_NEAR(temperatures[1].value(2) - 313.15, 50, 1e-9);
  for (const Unknown& unknown : temperatures)
    for (const double u : {-2.5, -1.0, -0.01, 0.0, 0.5, 2.0, 2.5})
      EXPECT_NEAR(unknown.coordinate(unknown.value(u)), u, 1e-9) << unknown.name;
}

TEST(UnknownLaws, AToldTemperatureOfAGoodLogIsBelieved) {
  CrankEvidence good = crank_at(90);
  good.stage = Stage::good;
  for (const Unknown& unknown : nuisances(inline_six(), {good}))
    if (unknown.where == Where::oil_temperature) {
      EXPECT_NEAR(unknown.value(2.5) - 363.15, 7.5, 1e-9);
    }
}

TEST(UnknownLaws, ADistanceFromTheGoodLogsIsTold) {
  for (const auto& [celsius, is_told] : {std::pair(80.0, true), {87.0, false}}) {
    MatchResult result = matched({nothing_wrong(1)});
    result.logs[0].condition.oil_temperature = 273.15 + celsius;
    result.logs.push_back(made_up_log(inline_six(), {.name = "good", .celsius = 90}));
    result.logs.back().stage = Stage::good;
    const std::vector<Shortfall> all = shortfalls(inline_six(), result);
    EXPECT_EQ(std::ranges::any_of(all,
                                  [](const Shortfall& one) {
                                    return one.missing.find("nearest log of the good engine is 10 K away") !=
                                           std::string::npos;
                                  }),
              is_told)
        << celsius;
  }
}

}  // namespace
}  // namespace railseep
