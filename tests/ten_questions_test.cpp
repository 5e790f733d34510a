// The ten questions of the design, each asked of a shipped, invented job. What is hidden in each is known from
// scenarios/make_logs.py, whose model is not the one that is fitted; the expected answers follow from it and from the
// trade's common practice.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "circuit/circuit_file.hpp"
#include "job/job.hpp"
#include "whatif/limit.hpp"

namespace railseep {
namespace {

std::string below_source(const std::string& file) { return std::string(RAILSEEP_SOURCE_DIR) + "/" + file; }

/// A job of scenarios/ as evidence.
struct AskedJob {
  Job job;
  Circuit circuit;
  Evidence evidence, after;

  explicit AskedJob(const std::string& folder) : job(read_job(below_source("scenarios/" + folder + "/job.json"))) {
    circuit = read_circuit(below_source(job.circuit));
    const FindFile find = [this](const std::string& file) { return job_path(job, file); };
    evidence = evidence_of(job, find), after = evidence_of(job, find, Stage::after);
  }
};

Condition hot_at(double rpm) {
  Condition hot;
  hot.oil_temperature = 363.15;
  if (rpm > 0) hot.speed = Profile(rpm * 2 * std::numbers::pi / 60);
  return hot;
}

// 0.42 to 0.52 mm hot at cranking flow: the trade's derived figure for 150 to 180 rpm; a hole hardly feels temperature,
// a slow starter it does.
TEST(TenQuestions, HowBigAHoleStopsItIsATableOfConditions) {
  const AskedJob truck("gravel-truck");
  const Fault hole{"left rail front end plug", "hole", 0};
  Condition cold, weak = hot_at(0);
  cold.oil_temperature = 273.15;
  weak.battery_charge = 0.8;
  const double edge_cold = *limit_of(truck.circuit, hole, {}, cold).edge,
               edge_hot = *limit_of(truck.circuit, hole, {}, hot_at(0)).edge;
  const double edge_slow = *limit_of(truck.circuit, hole, {}, hot_at(130)).edge,
               edge_weak = *limit_of(truck.circuit, hole, {}, weak).edge;
  EXPECT_LT(edge_slow, edge_hot);
  EXPECT_LT(edge_weak, edge_hot);
  EXPECT_LT(edge_hot, edge_cold);
  EXPECT_GT(edge_slow, 0.42e-3);
  EXPECT_LT(edge_slow, 0.52e-3);
}

TEST(TenQuestions, PsiToTheLastDigitIsNotFitted) {
  const AskedJob sweeper("road-sweeper");
  EXPECT_TRUE(sweeper.evidence.logs.empty());
  const auto likelihood = [&](const std::vector<Fault>& faults) {
    return log_likelihood(sweeper.evidence.observations, with_faults(sweeper.circuit, faults), faults);
  };
  const double wire = likelihood({{"pressure sensor", "wire broken", 1}});
  EXPECT_GT(wire, likelihood({}) + 4) << "the volts deny the psi, and at rest they are no pressure";
  EXPECT_GT(wire, likelihood({{"left rail front end plug", "hole", 8e-4}}) + 4);
}

TEST(TenQuestions, HissThatStaysUnderOneCoverIsLikelierFromThatSide) {
  const AskedJob tow("tow-truck");
  const auto behind = [&](const std::string& cover) {
    double sum = 0;
    for (const Site& site : tow.circuit.sites) {
      if (site.access != cover || site.name.find("bottom") != std::string::npos) continue;
      const std::vector<Fault> faults{{site.name, "hole", 0.7e-3}};
      sum += std::exp(place_log_likelihood(tow.evidence.observations, with_faults(tow.circuit, faults), faults));
    }
    return sum;
  };
  EXPECT_GT(behind("left valve cover"), 10 * behind("right valve cover"));
}

TEST(TenQuestions, WithThisSealDoneAloneItStartsHot) {
  const AskedJob plough("snow-plough");
  const Fault seal{"left rail front end plug", "hole", 0.5e-3 * std::sqrt(0.65 / 0.62)},
      pump{"high-pressure pump", "wear", 5};
  const auto starts = [&](const std::vector<Fault>& faults, double rpm) {
    return time_to_start(with_faults(plough.circuit, faults), hot_at(rpm), 10);
  };
  EXPECT_FALSE(starts({seal, pump}, 160).has_value()) << "as it came";
  EXPECT_TRUE(starts({pump}, 160).has_value()) << "the seal done";
  EXPECT_TRUE(starts({pump}, 150).has_value());
  // The proof: the log after the repair reaches the enable pressure soon, at the same temperature.
  ASSERT_EQ(plough.after.logs.size(), 1u);
  const CrankEvidence &before = plough.evidence.logs.back(), &after = plough.after.logs.front();
  EXPECT_NEAR(before.condition.oil_temperature, after.condition.oil_temperature, 2);
  EXPECT_LT(*std::ranges::max_element(before.measured), plough.circuit.control.enable_pressure);
  EXPECT_GT(*std::ranges::max_element(after.measured), plough.circuit.control.enable_pressure);
}

}  // namespace
}  // namespace railseep
