// Cost against the number of samples of a log: whitening, weighing with wild samples, and averaging. Each should grow
// as the number itself (O(n), printed).

#include <benchmark/benchmark.h>

#include <random>

#include "evidence/condense_log.hpp"

namespace railseep {
namespace {

/// Ten minutes of a steady 2 MPa.
CrankEvidence steady(std::size_t samples) {
  std::mt19937 random(1);
  std::normal_distribution<double> gauss;
  CrankEvidence log;
  for (std::size_t i = 0; i < samples; ++i) {
    log.time.push_back(600.0 * static_cast<double>(i) / static_cast<double>(samples));
    log.measured.push_back(2e6 + 3e4 * gauss(random));
  }
  log.condition.speed = Profile(log.time, std::vector<double>(samples, 18));
  log.duty = Profile(log.time, std::vector<double>(samples, 0.85));
  log.sample_interval = 600.0 / static_cast<double>(samples);
  log.duration = log.time.back() + 1e-9;
  return log;
}

void whiten(benchmark::State& state) {
  CrankEvidence log = steady(static_cast<std::size_t>(state.range(0)));
  weigh_samples(log, {}, 0);
  const std::vector<double> computed(log.time.size(), 2e6);
  for (auto _ : state) benchmark::DoNotOptimize(log.whiten(computed));
  state.SetComplexityN(state.range(0));
}
BENCHMARK(whiten)->RangeMultiplier(4)->Range(16, 65536)->Complexity();

void weigh_with_one_wild_sample(benchmark::State& state) {
  CrankEvidence log = steady(static_cast<std::size_t>(state.range(0)));
  log.measured[log.measured.size() / 2] += 3e6;
  weigh_samples(log, {}, 0);
  const Eigen::VectorXd y = log.whiten(std::vector<double>(log.time.size(), 2e6));
  const Tolerances tolerances = tolerances_of({log});
  for (auto _ : state) benchmark::DoNotOptimize(tolerances.loss(y));
  state.SetComplexityN(state.range(0));
}
BENCHMARK(weigh_with_one_wild_sample)->RangeMultiplier(4)->Range(16, 65536)->Complexity();

void condense_log(benchmark::State& state) {
  const CrankEvidence log = steady(static_cast<std::size_t>(state.range(0)));
  for (auto _ : state) {
    CrankEvidence after = log;
    condense(after, {}, 0);
    benchmark::DoNotOptimize(after);
  }
  state.SetComplexityN(state.range(0));
}
BENCHMARK(condense_log)->RangeMultiplier(4)->Range(1024, 65536)->Complexity();

}  // namespace
}  // namespace railseep
