#include <gtest/gtest.h>

#include <random>

#include "made_up_log.hpp"
#include "match/unknown.hpp"

namespace railseep {
namespace {

/// A log of a steady 5 MPa with noise of its own on each sample.
CrankEvidence steady(double noise, double interval) {
  std::mt19937 random(3);
  std::normal_distribution<double> gauss;
  std::string csv = "time (s),icp (kPa),rpm\n";
  for (int i = 0; i < 80; ++i) csv += std::to_string(interval * i) + "," + std::to_string(5000 + 1e-3 * noise * gauss(random)) + ",170\n";
  return crank_evidence(parse_log(csv, "steady.csv"), {"crank", "", {}, {}, {}, {}});
}

double mean_square(const CrankEvidence& log) {
  const Eigen::VectorXd r = log.whiten(std::vector<double>(log.time.size(), 5e6));
  return r.squaredNorm() / static_cast<double>(r.size());
}

// Whitened by the deviation it has, noise has a mean square of 1 (80 samples: within a third); by what is assumed it would have nearly 3.
TEST(LogDoubts, ALogThatScattersIsTrustedByWhatItScatters) {
  EXPECT_NEAR(mean_square(steady(1.6e5, 0.2)), 1, 0.4);
  EXPECT_LT(mean_square(steady(1e4, 0.2)), 0.5) << "never less than what is assumed";
}

// Doubt about the hole law is a doubt about flow: one standard deviation of it is that much flow through a regulator that stands open, as through a leak.
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
      const Regulator& regulator = std::get<Regulator>(assumed.circuit.links[assumed.circuit.only<Regulator>()].element);
      return Hole{regulator.diameter}.flow_through_part(dp, regulator.stuck_open, oil);
    };
    const Oil oil = oil_of(circuit, logs.front().condition);
    const double size = severity_unknown(candidate.suspects.front()).value(0);
    const double diameter = fault.kind->word == "hole" ? size : std::get<Regulator>(circuit.links[circuit.only<Regulator>()].element).diameter * std::sqrt(size);
    EXPECT_NEAR(std::log(flow(1) / flow(0)), hole_law_doubt(diameter, logs.front().leak_pressure, oil), 0.02) << fault.place;
  }
}

}  // namespace
}  // namespace railseep
