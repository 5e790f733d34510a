// Cranks against CVODE: the same rates and Jacobian, the same control module stopped at the same samples, another
// method and another code. Three circuits, six conditions, ten faults. One fault of each circuit and condition, 1 s
// each, is compared here; RAILSEEP_ALL_CVODE=1 (at run time, with the binary's own filter) compares all 180, 3 s each.

#include <gtest/gtest.h>

#include <cstdlib>
#include <map>

#include "circuit/catalogue.hpp"
#include "cvode_reference.hpp"
#include "procedure/cranking.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

bool all_of_them() { return std::getenv("RAILSEEP_ALL_CVODE") != nullptr; }
double duration() { return all_of_them() ? 3 : 1; }  // [s]

/// Outputs at samples of the control module (10 ms in all circuits) and between them, where the stepper interpolates.
std::vector<double> output_times() {
  std::vector<double> times{0};
  for (int k = 1; 0.02 * k <= duration() * (1 + 1e-12); ++k) times.insert(times.end(), {0.02 * k - 0.0137, 0.02 * k});
  times.back() = duration();
  return times;
}

const char* const circuits[] = {"valley_v8", "inline_six", "head_rail_v8"};
const char* const faults[] = {"", "F1", "F5", "F9", "F13", "F15", "F23", "F24", "F27", "F20"};
constexpr int conditions = 6;

/// Cold, hot, freezing and slow, starter with a weak battery, long rest, injection on.
///
/// At idle a sticking regulator (F13) hunts under the control module, as the trade says it does: neighbouring solutions
/// part exponentially and no two solvers agree for long. That one case runs at a constant duty.
std::pair<Condition, CrankOptions> condition_of(int which, const std::string& fault) {
  Condition condition;
  CrankOptions options;
  options.duration = duration();
  const auto turning = [](double rpm) { return Profile(rpm * 2 * M_PI / 60); };
  condition.speed = turning(170);
  switch (which) {
    case 0:
      break;
    case 1:
      condition.oil_temperature = 363.15;
      break;
    case 2:
      condition.oil_temperature = 258.15, condition.speed = turning(110);
      break;
    case 3:
      condition.oil_temperature = 353.15, condition.speed = Profile(), condition.battery_charge = 0.85;
      break;
    case 4:
      condition.rest_time = 36000, condition.air_left = 0.05;
      break;
    case 5:
      condition.oil_temperature = 363.15, condition.speed = turning(650), condition.battery = Profile(13.8),
      options.pulse = 1e-3;
      break;
  }
  if (which == 5 && fault == "F13") options.duty = Profile(0.2);
  return {condition, options};
}

struct Case {
  int circuit, condition, fault;
};

Circuit circuit_of(const Case& c) {
  const Circuit healthy = read_circuit(models_folder() + circuits[c.circuit] + ".json");
  return *faults[c.fault] ? with_faults(healthy, faults_of(find_catalogue_fault(faults[c.fault]), healthy)) : healthy;
}

/// Absolute pressures of every volume and the pressure shown [Pa], by output: rows of equal length.
using Pressures = std::vector<std::vector<double>>;

Pressures with_cvode(const Case& c, double rtol) {
  const auto [condition, options] = condition_of(c.condition, faults[c.fault]);
  Cranking cranking(circuit_of(c), condition, options);
  CvodeReference cvode([&](const auto& x, auto& dxdt, double t) { cranking.rates(x, dxdt, t); },
                       [&](const auto& x, auto& jacobian, double t, auto& by_time) {
                         Network::State dxdt;
                         Eigen::SparseMatrix<double> entries;
                         cranking.jacobian(x, entries, t, by_time, dxdt);
                         jacobian = entries;
                       },
                       [&](const auto& before, const auto& after, auto& scale) {
                         cranking.side().network().tolerances(before, after, rtol, scale);
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
  for (double t = 0; t < options.duration;) {
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
  auto [condition, options] = condition_of(c.condition, faults[c.fault]);
  options.output_times = output_times();
  options.tolerance = tolerance;
  const Circuit circuit = circuit_of(c);
  const Trace trace = crank(circuit, condition, options).trace;
  Pressures rows(trace.time.size());
  for (std::size_t k = 0; k < rows.size(); ++k) {
    for (const Node& node : circuit.nodes)
      if (!node.tank) rows[k].push_back(trace.find(node.name + " pressure").value[k] + atmospheric_pressure);
    rows[k].push_back(trace.find(signal::shown_pressure).value[k] + atmospheric_pressure);
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
  const double at_default = distance(with_ours(GetParam(), CrankOptions().tolerance), reference),
               tight = distance(with_ours(GetParam(), 1e-8), reference);
  RecordProperty("error_at_default", std::to_string(at_default * 1e6) + "e-6");
  RecordProperty("error_at_1e-8", std::to_string(tight * 1e6) + "e-6");
  EXPECT_LT(at_default, 1e-5);
  EXPECT_LT(tight, std::max(0.3 * at_default, 2e-6));
}

std::vector<Case> cases() {
  std::vector<Case> all;
  for (int circuit = 0; circuit < 3; ++circuit)
    for (int condition = 0; condition < conditions; ++condition)
      for (int fault = 0; fault < 10; ++fault)
        if (all_of_them() || fault == (circuit + 3 * condition) % 10) all.push_back({circuit, condition, fault});
  return all;
}

INSTANTIATE_TEST_SUITE_P(All, CrankAgainstCvode, testing::ValuesIn(cases()), [](const auto& row) {
  return std::string(circuits[row.param.circuit]) + "_condition" + std::to_string(row.param.condition) + "_" +
         (*faults[row.param.fault] ? faults[row.param.fault] : "healthy");
});

// The reference itself: with a tenth of its accuracy it hardly moves.
TEST(CvodeReference, IsSettledAtItsTolerance) {
  for (const Case& c : {Case{0, 1, 1}, Case{1, 0, 3}, Case{2, 1, 0}})
    EXPECT_LT(distance(with_cvode(c, 1e-10), with_cvode(c, 1e-11)), 5e-7);
}

}  // namespace
}  // namespace railseep
