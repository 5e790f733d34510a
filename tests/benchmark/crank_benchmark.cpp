// How fast a crank is, beside CVODE on the same right-hand side: 6 s, both circuits, hot and cold, the control module
// stopping the solver at each of its samples; and, as a fit runs them by the thousand, cranks that follow a duty
// measured each 0.1 s. Errors are against CVODE at rtol 1e-12 at every stop, relative to the absolute pressure. The
// last lines give the processor time of the fastest CVODE run that is at least as accurate, divided by ours: medians of
// one run of this program.

#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdio>
#include <map>
#include <numbers>

#include "../cvode_reference.hpp"
#include "circuit/circuit_file.hpp"
#include "procedure/cranking.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {
namespace {

struct Case {
  std::string label, circuit;
  double oil_temperature;  // [K]
  bool measured = false;   // follows a measured duty, without the control module
};

const Case cases[] = {{"valley V8 hot", "valley_v8", 363.15},
                      {"valley V8 cold", "valley_v8", 293.15},
                      {"inline six hot", "inline_six", 363.15},
                      {"inline six cold", "inline_six", 293.15},
                      {"valley V8 hot, measured duty", "valley_v8", 363.15, true},
                      {"valley V8 cold, measured duty", "valley_v8", 293.15, true},
                      {"inline six hot, measured duty", "inline_six", 363.15, true},
                      {"inline six cold, measured duty", "inline_six", 293.15, true}};

/// Pressures of every volume at every stop, one after another [Pa].
using Pressures = std::vector<double>;

/// What a scan tool would have logged of the module's duty, each 0.1 s.
Profile logged_duty(const Circuit& circuit, const Condition& condition) {
  CrankOptions options;
  options.output_interval = 0.1;
  const Trace trace = crank(circuit, condition, options).trace;
  return {trace.time, trace.find(signal::regulator_duty).value};
}

Cranking cranking_of(const Case& c) {
  Condition condition;
  condition.oil_temperature = c.oil_temperature;
  condition.speed = Profile(170 * 2 * std::numbers::pi / 60);
  CrankOptions options;
  options.duration = 6;
  const Circuit circuit = read_circuit(std::string(RAILSEEP_SOURCE_DIR) + "/models/" + c.circuit + ".json");
  if (c.measured) options.duty = logged_duty(circuit, condition);
  return {circuit, condition, options};
}

void record(Cranking& cranking, const Network::State& state, Pressures* out) {
  if (!out) return;
  const auto& nodes = cranking.network().circuit().nodes;
  for (std::size_t i = 0; i < nodes.size(); ++i)
    if (!nodes[i].tank) out->push_back(cranking.network().view(state, static_cast<int>(i)).pressure);
}

Counters with_ours(Cranking cranking, double tolerance, Pressures* out) {
  DenseRosenbrock<> stepper([&](const auto& before, const auto& after, auto& scale) {
    cranking.side().network().tolerances(before, after, tolerance, scale);
  });
  const auto system = std::pair([&](const auto& x, auto& dxdt, double t) { cranking.rates(x, dxdt, t); },
                                [&](const auto& x, auto& jacobian, double t, auto& by_time, auto& dxdt) {
                                  cranking.jacobian(x, jacobian, t, by_time, dxdt);
                                });
  stepper.initialize(cranking.start(), 0, 1e-4);
  while (stepper.current_time() < 6) {
    const double stop = cranking.next_stop(stepper.current_time());
    cranking.sample(stepper.current_time(), stepper.current_state());
    stepper.set_limit(stop);
    stepper.restart();
    while (stepper.current_time() < stop) stepper.do_step(std::ref(system));
    record(cranking, stepper.current_state(), out);
  }
  return stepper.counters();
}

Counters with_cvode(Cranking cranking, double tolerance, Pressures* out) {
  Network::State rates_too;
  Eigen::SparseMatrix<double> entries;
  CvodeReference cvode([&](const auto& x, auto& dxdt, double t) { cranking.rates(x, dxdt, t); },
                       [&](const auto& x, auto& jacobian, double t, auto& by_time) {
                         cranking.jacobian(x, entries, t, by_time, rates_too), jacobian = entries;
                       },
                       [&](const auto& before, const auto& after, auto& scale) {
                         cranking.side().network().tolerances(before, after, tolerance, scale);
                       });
  cvode.initialize(cranking.start(), 0);
  for (double t = 0; t < 6;) {
    const double stop = cranking.next_stop(t);
    cranking.sample(t, cvode.current_state());
    if (t > 0) cvode.restart();
    cvode.advance(stop);
    record(cranking, cvode.current_state(), out);
    t = stop;
  }
  return cvode.counters();
}

double distance(const Pressures& a, const Pressures& b) {
  double worst = 0;
  for (std::size_t i = 0; i < b.size(); ++i) worst = std::max(worst, std::abs(a[i] - b[i]) / b[i]);
  return worst;
}

const Pressures& reference(const Case& c) {
  static std::map<std::string, Pressures> known;
  Pressures& pressures = known[c.label];
  if (pressures.empty()) with_cvode(cranking_of(c), 1e-12, &pressures);
  return pressures;
}

void run(benchmark::State& state, const Case& c, Counters (*solve)(Cranking, double, Pressures*), double tolerance) {
  Pressures pressures;
  const Counters counters = solve(cranking_of(c), tolerance, &pressures);
  Cranking cranking = cranking_of(c);
  for (auto _ : state) benchmark::DoNotOptimize(solve(cranking, tolerance, nullptr));
  state.counters["error"] = distance(pressures, reference(c));
  state.counters["steps"] = static_cast<double>(counters.steps);
  state.counters["rates"] = static_cast<double>(counters.rates);
  state.counters["jacobians"] = static_cast<double>(counters.jacobians);
}

/// Prints as usual and keeps the medians.
class Keeper : public benchmark::ConsoleReporter {
 public:
  struct Row {
    double milliseconds, error;
  };
  void ReportRuns(const std::vector<Run>& runs) override {
    ConsoleReporter::ReportRuns(runs);
    for (const Run& r : runs)
      if (r.run_type == Run::RT_Aggregate && r.aggregate_name == "median")
        rows[r.run_name.function_name] = {r.GetAdjustedCPUTime(), r.counters.at("error")};
  }
  std::map<std::string, Row> rows;
};

}  // namespace
}  // namespace railseep

int main(int argc, char** argv) {
  using namespace railseep;
  const double ours[] = {1e-4, 1e-5, 1e-6, 2e-7}, cvode[] = {1e-4, 1e-5, 1e-6, 3e-7, 1e-7, 3e-8, 1e-8, 1e-9};
  const auto name = [](const Case& c, const char* solver, double tolerance) {
    char text[100];
    std::snprintf(text, sizeof text, "%s/%s/%.0e", c.label.c_str(), solver, tolerance);
    return std::string(text);
  };
  for (const Case& c : cases) {
    const auto add = [&](const char* solver, Counters (*solve)(Cranking, double, Pressures*), double tolerance) {
      benchmark::RegisterBenchmark(name(c, solver, tolerance).c_str(),
                                   [&c, solve, tolerance](benchmark::State& state) { run(state, c, solve, tolerance); })
          ->Unit(benchmark::kMillisecond)
          ->MinTime(0.1)
          ->Repetitions(5)
          ->ReportAggregatesOnly(true);
    };
    for (const double tolerance : ours) add("railseep", with_ours, tolerance);
    for (const double tolerance : cvode) add("CVODE", with_cvode, tolerance);
  }
  benchmark::Initialize(&argc, argv);
  Keeper keeper;
  benchmark::RunSpecifiedBenchmarks(&keeper);

  std::printf("\nProcessor time of the fastest CVODE run that is at least as accurate, divided by ours\n");
  for (const Case& c : cases)
    for (const double tolerance : ours) {
      const auto mine = keeper.rows.find(name(c, "railseep", tolerance));
      if (mine == keeper.rows.end()) continue;
      double best = INFINITY;
      for (const double other : cvode)
        if (const auto found = keeper.rows.find(name(c, "CVODE", other));
            found != keeper.rows.end() && found->second.error <= mine->second.error)
          best = std::min(best, found->second.milliseconds);
      if (std::isfinite(best))
        std::printf("  %-30s tolerance %.0e: %6.2f ms, error %.1e, ratio %.1f\n", c.label.c_str(), tolerance,
                    mine->second.milliseconds, mine->second.error, best / mine->second.milliseconds);
      else
        std::printf("  %-30s tolerance %.0e: %6.2f ms, error %.1e, no CVODE run was as accurate\n", c.label.c_str(),
                    tolerance, mine->second.milliseconds, mine->second.error);
    }
  return 0;
}
