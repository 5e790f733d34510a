#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <random>

#include "hypothesis/unknown.hpp"
#include "made_up_log.hpp"
#include "match/goodness_of_fit.hpp"

namespace railseep {
namespace {

/// A log of a steady 5 MPa with noise of its own on each sample.
CrankEvidence steady(double noise, double interval) {
  std::mt19937 random(3);
  std::normal_distribution<double> gauss;
  std::string csv = "time (s),icp (kPa),rpm\n";
  for (int i = 0; i < 80; ++i)
    csv += std::to_string(interval * i) + "," + std::to_string(5000 + 1e-3 * noise * gauss(random)) + ",170\n";
  return crank_evidence(parse_log(csv, "steady.csv"), {"crank", "", {}, {}, {}, {}});
}

double mean_square(const CrankEvidence& log) {
  const Eigen::VectorXd r = log.whiten(std::vector<double>(log.time.size(), 5e6));
  return r.squaredNorm() / static_cast<double>(r.size());
}

// Whitened by the deviation it has, noise has a mean square of 1 (80 samples: within a third); by what is assumed it
// would have nearly 3.
TEST(LogDoubts, ALogThatScattersIsTrustedByWhatItScatters) {
  EXPECT_NEAR(mean_square(steady(1.6e5, 0.2)), 1, 0.4);
  EXPECT_LT(mean_square(steady(1e4, 0.2)), 0.5) << "never less than what is assumed";
}

/// A plateau as a sensor shows it, with the engine turning all the time.
CrankEvidence plateau(std::vector<double> measured, double interval) {
  CrankEvidence log;
  log.name = "plateau";
  log.sample_interval = interval;
  for (std::size_t i = 0; i < measured.size(); ++i) log.time.push_back(interval * static_cast<double>(i));
  log.measured = std::move(measured);
  log.condition.speed = Profile(18);
  return log;
}

// Law: the squared norm of whitened residuals is r'C^-1*r. C by the words of the noise model: independent noise and a
// twelfth of the squared step on the diagonal, and a deviation that fades with its memory, sd^2*exp(-|t_i -
// t_j|/memory), here inverted whole.
TEST(LogDoubts, AreTheCovarianceThatTheNoiseModelDescribes) {
  NoiseModel noise;
  noise.noise = 2e4, noise.offset = 4e4, noise.share = 0.02, noise.memory = 0.9, noise.off = {{1, 1}};
  constexpr double step = 5e4, pressure = 5e6;
  constexpr Eigen::Index samples = 12;
  CrankEvidence log = plateau(std::vector<double>(samples, pressure), 0.3);
  weigh_samples(log, noise, step);
  const double lasting = 4e4 * 4e4 + 0.02 * 0.02 * pressure * pressure, alone = 2e4 * 2e4 + step * step / 12;
  const Eigen::MatrixXd covariance =
      Eigen::MatrixXd::NullaryExpr(samples, samples, [&](Eigen::Index i, Eigen::Index k) {
        return lasting * std::exp(-0.3 * std::abs(static_cast<double>(i - k)) / 0.9) + (i == k ? alone : 0);
      });
  for (const bool shared : {true, false}) {
    Eigen::VectorXd r(samples);
    for (Eigen::Index i = 0; i < samples; ++i) r[i] = 1e5 * (shared || i % 2 ? 1 : -1);
    std::vector<double> computed;
    for (Eigen::Index i = 0; i < samples; ++i) computed.push_back(pressure - r[i]);
    const double expected = r.dot(covariance.ldlt().solve(r));
    EXPECT_NEAR(log.whiten(computed).squaredNorm(), expected, 1e-9 * expected)
        << (shared ? "all off alike" : "to and fro");
  }
}

// By its definition the surprise counts a wild sample as 9 squares, three deviations, wherever it lies.
TEST(LogDoubts, AWildSampleSurprisesAsThreeDeviations) {
  constexpr double pressure = 5e6;
  std::vector<double> measured(40, pressure);
  measured[30] = 1e6;
  CrankEvidence wild = plateau(measured, 0.2), tame = plateau(std::vector<double>(40, pressure), 0.2);
  for (CrankEvidence* log : {&wild, &tame}) weigh_samples(*log, {}, 0);
  const std::vector<double> computed(40, pressure);
  const Tolerances with = tolerances_of({wild}), without = tolerances_of({tame});
  EXPECT_EQ(with.weigh(wild.whiten(computed)).wild, std::vector<Eigen::Index>{30});
  const double more =
      reduced_chi_square(with, wild.whiten(computed), {}) - reduced_chi_square(without, tame.whiten(computed), {});
  EXPECT_GT(40 * more, 9);
  EXPECT_LT(40 * more, 10) << "what is left of its square is below 1: its own doubt is the highest pressure of the log";
}

// A handbook fit of sharp holes passes 19 % more near Re 100 (Wu, Burton & Schoenau 2002, from memory): within two
// deviations of what is granted.
TEST(HoleLaw, DoubtCoversAnotherPublishedLaw) {
  Oil oil;
  oil.viscosity = 0.03, oil.density = 850;
  constexpr double dp = 3.5e6;
  const double speed = 0.62 * std::sqrt(2 * dp / oil.density), diameter = 100 * oil.viscosity / (oil.density * speed);
  EXPECT_GT(2 * hole_law_doubt(diameter, dp, oil), std::log(1.19));
  EXPECT_LT(hole_law_doubt(100 * diameter, dp, oil), 0.01) << "far above the laws agree";
}

// Doubt about the hole law is a doubt about flow: one standard deviation of it is that much flow through a regulator
// that stands open, as through a leak.
TEST(HoleLaw, DoubtIsAboutTheFlowOfAnOpenRegulatorToo) {
  const Circuit circuit = read_circuit(source_file("models/inline_six.json"));
  const std::vector<CrankEvidence> logs{steady(1e4, 0.2)};
  for (const PossibleFault& fault : possible_faults(circuit)) {
    if (fault.kind->word != "stuck open" && fault.kind->word != "hole") continue;
    const Candidate candidate{{Suspect{fault.kind, {fault}}}, 1};
    const std::vector<Unknown> unknowns = unknowns_of(circuit, candidate, logs);
    const auto flow = [&](double law) {
      Eigen::VectorXd u = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(unknowns.size()));
      for (std::size_t i = 0; i < unknowns.size(); ++i)
        if (unknowns[i].where == Unknown::Where::hole_law) u[static_cast<Eigen::Index>(i)] = law;
      const Assumed assumed = assume(circuit, candidate, unknowns, logs, 0, u);
      const Oil oil = oil_of(assumed.circuit, assumed.condition);
      const double dp = logs.front().leak_pressure;
      if (fault.kind->word == "hole") return std::get<Hole>(assumed.circuit.links.back().element).flow_through(dp, oil);
      const Regulator& regulator =
          std::get<Regulator>(assumed.circuit.links[assumed.circuit.only<Regulator>()].element);
      return Hole{regulator.diameter}.flow_through_part(dp, regulator.stuck_open, oil);
    };
    const Oil oil = oil_of(circuit, logs.front().condition);
    const double size = severity_unknown(candidate.suspects.front()).value(0);
    const double diameter =
        fault.kind->word == "hole"
            ? size
            : std::get<Regulator>(circuit.links[circuit.only<Regulator>()].element).diameter * std::sqrt(size);
    EXPECT_NEAR(std::log(flow(1) / flow(0)), hole_law_doubt(diameter, logs.front().leak_pressure, oil), 0.02)
        << fault.place;
  }
}

}  // namespace
}  // namespace railseep
