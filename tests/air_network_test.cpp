#include <gtest/gtest.h>

#include "circuit/circuit_file.hpp"
#include "circuit/faults.hpp"
#include "procedure/air_run.hpp"
#include "quantity/error.hpp"
#include "reference_table.hpp"
#include "shipped_circuits.hpp"
#include "units.hpp"

namespace railseep {
namespace {

/// One volume with one hole into the open.
Circuit one_volume(double volume, double diameter) {
  Circuit circuit;
  circuit.nodes.resize(2);
  circuit.nodes[0].name = "rail", circuit.nodes[0].volume = volume;
  circuit.nodes[1].name = "outside", circuit.nodes[1].tank = true;
  circuit.links.resize(1);
  circuit.links[0].name = "leak", circuit.links[0].from = 0, circuit.links[0].to = 1;
  circuit.links[0].element = Hole{diameter, 0.61};
  return circuit;
}

// The worked example scaled by 1e4 in volume and area: the same times, with the hole's laminar part out of sight. A
// gauge volume of 1e-9 of the rail's, behind an adapter as wide as the hole is small, shows the rail's pressure.
TEST(AirNetwork, EmptiesThroughHoleLikeClosedForm) {
  for (const ReferenceRow& row : reference_table("air_decay.csv")) {
    AirSupply supply;
    supply.gauge_volume = 1e-8;
    supply.adapter = {1e-7, 0.5};
    AirNetwork network(one_volume(10, 50e-3), supply, 0, 293.15);
    AirNetwork::State state = network.rest(0);
    network.set_pressure(state, 0, 101325 + row["from"] * psi);
    network.set_pressure(state, network.gauge(), 101325 + row["from"] * psi);
    network.set_exponent(row["exponent"], state);
    AirRun run(std::move(network), state, 1, 1e-9);
    run.set_signals({101325, 0, 0, false});
    EXPECT_NEAR(run.fall_to(row["to"] * psi, 200) / row["time"], 1, 1e-5) << row.text("row");
  }
}

// psi(choked)*Cd*A*sqrt(R*T)/V: tau of the worked example (row 5l, computed).
TEST(AirNetwork, FirstRateIsPressureOverTau) {
  AirNetwork network(one_volume(10, 50e-3), {}, 0, 293.15);
  AirNetwork::State state = network.rest(0), rates;
  network.set_pressure(state, 0, 8e5);
  network.set_pressure(state, network.gauge(), 8e5);
  network.rates(state, {101325, 0, 0, false}, rates);
  EXPECT_NEAR(-state[0] / rates[0], 42.03357, 42.03357 * 2e-5);
}

TEST(AirNetwork, KeepsEveryGramOfAir) {
  const Circuit healthy = valley_v8();
  const std::vector<Fault> faults{parse_fault("left rail front end plug: hole 0.5 mm", healthy)};
  AirNetwork network(with_faults(healthy, faults), {}, healthy.find_node("pump outlet"), 293.15);
  const AirNetwork::State start = network.rest(1);
  const double before = network.total_air(start);
  AirRun run(std::move(network), start, 0.5, 1e-6);
  run.set_signals({101325 + 100 * psi, 0, 0, true});
  run.advance(20);
  const double passed = run.network().supplied(run.state(), run.signals());
  EXPECT_GT(passed, 1e-3);
  EXPECT_NEAR(run.network().total_air(run.state()) - before, 0, 1e-12 * 20 * passed + 1e-13);
}

TEST(AirNetwork, JacobianIsTheDerivativeOfTheRates) {
  const Circuit circuit = valley_v8();
  AirNetwork network(circuit, {}, circuit.find_node("pump outlet"), 293.15);
  AirNetwork::State state = network.rest(0.7), ahead, behind, by_time;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i)
    if (!circuit.nodes[i].tank) network.set_pressure(state, static_cast<int>(i), 3e5 + 0.4e5 * static_cast<double>(i));
  network.set_pressure(state, network.gauge(), 6.5e5);
  network.set_exponent(1.3, state);
  const AirSignals signals{7e5, 0.05, 2e4, true};
  Eigen::SparseMatrix<double> entries;
  network.jacobian(state, signals, entries, by_time);
  const Eigen::MatrixXd jacobian(entries);
  for (int k = 0; k < network.size(); ++k) {
    const double h = 1e-6 * std::max(std::abs(state[k]), 1e-4);
    AirNetwork::State moved = state;
    moved[k] = state[k] + h, network.rates(moved, signals, ahead);
    moved[k] = state[k] - h, network.rates(moved, signals, behind);
    for (int i = 0; i < network.size(); ++i)
      EXPECT_NEAR(jacobian(i, k), (ahead[i] - behind[i]) / (2 * h), 1e-5 * (1 + std::abs(jacobian(i, k))))
          << network.name_of_state(i) << " by " << network.name_of_state(k);
  }
  AirSignals later = signals;
  later.supply_pressure += signals.supply_rate * 1e-4;
  network.rates(state, later, ahead), network.rates(state, signals, behind);
  for (int i = 0; i < network.size(); ++i)
    EXPECT_NEAR(by_time[i], (ahead[i] - behind[i]) / 1e-4, 1e-3 * std::abs(by_time[i]) + 1e-12);
}

TEST(AirNetwork, AdiabaticFallCoolsTheAir) {
  AirNetwork network(one_volume(1e-3, 1e-3), {}, 0, 293.15);
  AirNetwork::State state = network.rest(0);
  network.set_pressure(state, 0, 8e5);
  network.set_exponent(1.4, state);
  network.set_pressure(state, 0, 4e5);
  EXPECT_NEAR(network.pressure(state, 0), 4e5, 1e-4);
  EXPECT_NEAR(network.temperature(state, 0), 293.15 * std::pow(0.5, 0.4 / 1.4),
              1e-6);  // isentropic relation of a perfect gas
}

// Residual oil: a leak opens up as it is blown dry, a small one later than a big one, and purging dries.
TEST(AirNetwork, BlowsWetLeaksDrySmallOnesLater) {
  const auto wetness_after = [](double diameter, double seconds) {
    AirNetwork network(one_volume(0.3e-3, diameter), {}, 0, 293.15);
    const AirNetwork::State start = network.rest(1);
    AirRun run(std::move(network), start, 1, 1e-6);
    run.set_signals({101325 + 100 * psi, 0, 0, true});
    run.advance(seconds);
    return run.network().wetness(run.state(), 0);
  };
  EXPECT_GT(wetness_after(0.2e-3, 200), wetness_after(0.6e-3, 200) + 0.2);
  EXPECT_GT(wetness_after(0.6e-3, 5), wetness_after(0.6e-3, 60));
  EXPECT_LT(wetness_after(0.6e-3, 600), 0.01);
}

TEST(AirNetwork, RefusesATankAsFeedPoint) {
  const Circuit circuit = valley_v8();
  EXPECT_THROW(AirNetwork(circuit, {}, circuit.find_node("crankcase"), 293.15), Error);
}

TEST(AirNetwork, ClosesNothingInTheShippedCircuits) {
  for (const char* name : {"valley_v8", "inline_six", "head_rail_v8"}) {
    const Circuit circuit = read_circuit(std::string(RAILSEEP_SOURCE_DIR) + "/models/" + name + ".json");
    EXPECT_TRUE(AirNetwork(circuit, {}, circuit.links[circuit.only<Sensor>()].from, 293.15).closed_links().empty())
        << name;
  }
}

}  // namespace
}  // namespace railseep
