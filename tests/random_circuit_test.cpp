// Random circuits with every kind of element: they integrate without a failed step, a number that is none, or a
// pressure below vacuum, and keep their oil. Where physics forbids an answer (a pump into a closed volume) the error
// must say which node and why. 10 000 here, 300 with sanitizers; RAILSEEP_RANDOM_CIRCUITS=1000000 (or any number) asks
// for more.

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <random>

#include "circuit/network.hpp"
#include "fluid/grade.hpp"
#include "shipped_circuits.hpp"
#include "solve/dense_rosenbrock.hpp"

namespace railseep {
namespace {

using State = Network::State;

#ifdef RAILSEEP_SANITIZED
constexpr long usual = 300;
#else
constexpr long usual = 10000;
#endif

long how_many() {
  const char* asked = std::getenv("RAILSEEP_RANDOM_CIRCUITS");
  return asked ? std::max(1L, std::atol(asked)) : usual;
}

class Chance {
 public:
  explicit Chance(std::uint64_t seed) : random_(seed) {}
  double between(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random_); }
  double logarithmic(double low, double high) { return low * std::exp(between(0, 1) * std::log(high / low)); }
  int below(int n) { return std::uniform_int_distribution<int>(0, n - 1)(random_); }

 private:
  std::mt19937_64 random_;
};

/// One element with each number within a factor 4 of its default, in its range; shares and switches anywhere in theirs.
Element random_element(Element element, Chance& chance) {
  for (const ParameterView& p : parameters_of(element)) {
    double value = p.value;
    if (p.fallback && *p.fallback == 0 && p.most <= 1)
      value = chance.below(2) ? 0 : chance.between(0, 0.99) * p.most;
    else if (value > 0 && p.key != "pistons")
      value = chance.logarithmic(value / 4, value * 4);
    set_parameter(element, p.key, std::clamp(value, p.least, p.most));
  }
  if (auto* valve = std::get_if<CheckValve>(&element))
    valve->full_pressure = valve->cracking_pressure * chance.between(1.5, 5);
  if (auto* seal = std::get_if<LiftingSeal>(&element))
    seal->full_pressure = seal->opening_pressure * chance.between(1.2, 3);
  if (auto* seal = std::get_if<StickingSeal>(&element))
    seal->full_pressure = seal->opening_pressure * chance.between(1.2, 3);
  return element;
}

Node random_node(int i, Chance& chance) {
  Node node;
  node.name = "node " + std::to_string(i);
  const int kind = i < 2 ? 0 : chance.below(8);
  if (kind == 0)
    node.tank = true, node.pressure = chance.between(-5e4, 5e5),
    node.free_air = chance.below(2) ? 0 : chance.between(0, 0.3);
  else if (kind == 1)
    node.reservoir = true, node.volume = chance.logarithmic(1e-4, 1e-3), node.height = chance.between(0.01, 0.5),
    node.free_air = chance.between(0, 0.2);
  else
    node.volume = chance.logarithmic(1e-6, 1e-3);
  return node;
}

Circuit random_circuit(Chance& chance) {
  Circuit circuit;
  const int nodes = 4 + chance.below(6), links = nodes + chance.below(8);
  for (int i = 0; i < nodes; ++i) circuit.nodes.push_back(random_node(i, chance));
  const std::vector<Element> kinds = each_element();
  for (int i = 0; i < links; ++i) {
    Link link;
    link.name = "link " + std::to_string(i);
    link.from = chance.below(nodes), link.to = (link.from + 1 + chance.below(nodes - 1)) % nodes;
    link.element =
        random_element(kinds[static_cast<std::size_t>(chance.below(static_cast<int>(kinds.size())))], chance);
    circuit.links.push_back(link);
  }
  return circuit;
}

/// All oil that volumes hold and tanks have received [kg].
double all_oil(Network& network, const State& state) {
  double sum = 0;
  int at = 0;
  for (std::size_t i = 0; i < network.circuit().nodes.size(); ++i) {
    if (network.circuit().nodes[i].tank)
      sum += network.received(state, static_cast<int>(i));
    else
      sum += state[at], at += 2;
  }
  return sum;
}

TEST(RandomCircuits, IntegrateAndKeepTheirOil) {
  const long n = how_many();
  long forbidden = 0;
  const double temperatures[] = {263.15, 293.15, 323.15, 363.15};
  for (long seed = 0; seed < n; ++seed) {
    Chance chance(static_cast<std::uint64_t>(seed));
    const Circuit circuit = random_circuit(chance);
    Network network(circuit, oil_at(find_oil_grade("15W-40"), temperatures[chance.below(4)]));
    std::vector<double> air;
    for (std::size_t i = 0; i < circuit.nodes.size(); ++i) air.push_back(chance.below(3) ? chance.between(0, 0.3) : 0);
    const State start = network.rest(air);
    DenseRosenbrock<> stepper(
        [&](const auto& before, const auto& after, auto& scale) { network.tolerances(before, after, 1e-4, scale); });
    stepper.initialize(start, 0, 1e-7);
    const Signals<double> signals{chance.between(0, 60), chance.between(0, 12), 0, false,
                                  chance.below(2) ? 0 : chance.between(0, 3e-3)};
    const Signals<double> still{0, 0};
    double throughput = 1e-6;
    State rates;
    const auto system = std::pair([&](const State& x, State& dxdt, double) { network.rates(x, signals, dxdt); },
                                  [&](const State& x, Eigen::SparseMatrix<double>& j, double, State& by_time,
                                      State& dxdt) { network.jacobian(x, signals, still, j, by_time, dxdt); });
    const double end = 0.05;
    stepper.describe_trouble([&](const StepTrouble& trouble) {
      return network.impossible(stepper.current_state(), trouble.time)
          .value_or(Error("seed " + std::to_string(seed),
                          "step failed at " + network.name_of_state(static_cast<int>(trouble.worst)), "look"));
    });
    stepper.set_limit(end);
    try {
      while (stepper.current_time() < end) {
        stepper.do_step(std::ref(system));
        const State& x = stepper.current_state();
        ASSERT_TRUE(x.allFinite()) << "seed " << seed << ", t = " << stepper.current_time();
        for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
          ASSERT_GT(network.view(x, static_cast<int>(i)).pressure, 0)
              << "seed " << seed << ", " << circuit.nodes[i].name;
        network.rates(x, signals, rates);
        throughput += rates.cwiseAbs().sum() * (stepper.current_time() - stepper.previous_time());
      }
    } catch (const Error& error) {
      ++forbidden;
      EXPECT_NE(std::string(error.what()).find("has run away"), std::string::npos)
          << "seed " << seed << ": " << error.what();
    }
    ASSERT_NEAR(all_oil(network, stepper.current_state()), all_oil(network, start), 1e-9 * throughput)
        << "seed " << seed;
    if (testing::Test::HasFailure()) break;
  }
  RecordProperty("forbidden", static_cast<int>(forbidden));
  EXPECT_LT(forbidden, 0.05 * static_cast<double>(n));
}

}  // namespace
}  // namespace railseep
