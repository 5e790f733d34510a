// Cranks against CVODE: the same rates and Jacobian, the same control module stopped at the same samples, another
// method and another code.

#include <gtest/gtest.h>

#include <map>

#include "circuit/faults.hpp"
#include "cvode_reference.hpp"
#include "procedure/cranking.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

constexpr double duration = 3;  // [s]

/// Outputs at samples of the control module (10 ms in both circuits) and between them, where the stepper interpolates.
std::vector<double> output_times() {
  std::vector<double> times{0};
  for (int k = 1; k <= 150; ++k) times.insert(times.end(), {0.02 * k - 0.0137, 0.02 * k});
  return times;
}

struct Case {
  const char* circuit;
  double oil_temperature;  // [K]
  const char* fault;
};

Condition condition_of(const Case& c) {
  Condition condition;
  condition.oil_temperature = c.oil_temperature;
  condition.speed = Profile(170 * 2 * M_PI / 60);
  return condition;
}

Circuit circuit_of(const Case& c) {
  const Circuit healthy = read_circuit(models_folder() + c.circuit + ".json");
  return *c.fault ? with_faults(healthy, std::vector{parse_fault(c.fault, healthy)}) : healthy;
}

/// Absolute pressures of every volume and the pressure shown [Pa], by output: rows of equal length.
using Pressures = std::vector<std::vector<double>>;

Pressures with_cvode(const Case& c, double rtol) {
  CrankOptions options;
  options.duration = duration;
  Cranking cranking(circuit_of(c), condition_of(c), options);
  CvodeReference cvode(
      [&](const auto& x, auto& dxdt, double t) { cranking.rates(x, dxdt, t); },
      [&](const auto& x, auto& jacobian, double t, auto& by_time) {
        Network::State dxdt;
        cranking.jacobian(x, jacobian, t, by_time, dxdt);
      },
      [&](const auto& before, const auto& after, auto& scale) {
        cranking.network().tolerances(before, after, rtol, scale);
      });
  cvode.initialize(cranking.start(), 0);
  Pressures rows;
  const auto record = [&] {
    rows.emplace_back();
    const auto& nodes = cranking.network().circuit().nodes;
    for (std::size_t i = 0; i < nodes.size(); ++i)
      if (!nodes[i].tank)
        rows.back().push_back(cranking.network().view(cvode.current_state(), static_cast<int>(i)).pressure);
    rows.back().push_back(cranking.shown(cvode.current_state()) + atmospheric_pressure);
  };
  const std::vector<double> times = output_times();
  std::size_t next = 0;
  for (double t = 0; t < duration;) {
    const double stop = cranking.next_stop(t);
    cranking.sample(t, cvode.current_state());
    if (t > 0) cvode.restart();
    if (t == 0) record(), ++next;
    for (; next < times.size() && times[next] < stop - 1e-9; ++next) cvode.advance(times[next]), record();
    cvode.advance(stop);
    if (next < times.size() && times[next] < stop + 1e-9) record(), ++next;
    t = stop;
  }
  return rows;
}

Pressures with_ours(const Case& c, double tolerance) {
  CrankOptions options;
  options.duration = duration;
  options.output_times = output_times();
  options.output_times.back() = duration;
  options.tolerance = tolerance;
  const Circuit circuit = circuit_of(c);
  const Trace trace = crank(circuit, condition_of(c), options).trace;
  Pressures rows(trace.time.size());
  for (std::size_t k = 0; k < rows.size(); ++k) {
    for (const Node& node : circuit.nodes)
      if (!node.tank) rows[k].push_back(trace.find(node.name + " pressure").value[k] + atmospheric_pressure);
    rows[k].push_back(trace.find(shown_pressure).value[k] + atmospheric_pressure);
  }
  return rows;
}

/// Largest difference, relative to the pressure (absolute).
double distance(const Pressures& a, const Pressures& b) {
  double worst = a.size() == b.size() ? 0 : INFINITY;
  for (std::size_t k = 0; k < std::min(a.size(), b.size()); ++k)
    for (std::size_t i = 0; i < a[k].size(); ++i) worst = std::max(worst, std::abs(a[k][i] - b[k][i]) / b[k][i]);
  return worst;
}

class CrankAgainstCvode : public testing::TestWithParam<Case> {};

TEST_P(CrankAgainstCvode, AgreesWithin1e5AtEveryOutput) {
  const Pressures reference = with_cvode(GetParam(), 1e-11);
  ASSERT_EQ(reference.size(), output_times().size());
  EXPECT_LT(distance(with_cvode(GetParam(), 1e-10), reference), 2e-7) << "the reference itself";
  const double at_default = distance(with_ours(GetParam(), CrankOptions().tolerance), reference),
               tight = distance(with_ours(GetParam(), 1e-8), reference);
  RecordProperty("error_at_default", std::to_string(at_default * 1e6) + "e-6");
  RecordProperty("error_at_1e-8", std::to_string(tight * 1e6) + "e-6");
  EXPECT_LT(at_default, 1e-5);
  EXPECT_LT(tight, 0.1 * at_default);
}

INSTANTIATE_TEST_SUITE_P(HotAndCold, CrankAgainstCvode,
                         testing::Values(Case{"valley_v8", 293.15, ""}, Case{"valley_v8", 363.15, ""},
                                         Case{"inline_six", 293.15, ""}, Case{"inline_six", 363.15, ""},
                                         Case{"valley_v8", 363.15, "right rail front end plug: hole 0.5 mm"},
                                         Case{"inline_six", 363.15, "manifold front end plug: lifting seal 1 mm"}),
                         [](const auto& row) {
                           return std::string(row.param.circuit) +
                                  (row.param.oil_temperature < 300 ? "_cold" : "_hot") +
                                  (*row.param.fault ? "_leaking" : "");
                         });

}  // namespace
}  // namespace railseep
