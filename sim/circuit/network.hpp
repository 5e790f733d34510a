#pragma once

#include <Eigen/SparseCore>
#include <optional>
#include <utility>
#include <vector>

#include "circuit/circuit.hpp"
#include "circuit/jacobian_blocks.hpp"
#include "circuit/node_view.hpp"
#include "quantity/error.hpp"

namespace railseep {

/// A circuit filled with one oil, as a system of ordinary differential equations.
///
/// State of each volume: x, the oil mass beyond what fills it at atmospheric pressure [kg], and g, its free air as
/// volume at atmospheric pressure [m3]. Its pressure is the p that makes both fit (node_view.hpp). Then come the
/// elements' own states, then the oil each tank has received [kg]. What leaves one node enters another: the sum of all
/// oil states never changes, whatever the step size, because the stepper keeps linear invariants. The stream carries
/// the mixture of the node it leaves; the change-over around zero flow is rounded within 1e-9 m3/s.
class Network {
 public:
  using State = Eigen::VectorXd;

  Network(Circuit circuit, const Oil& oil);

  int size() const { return size_; }
  const Circuit& circuit() const { return circuit_; }
  const Oil& oil() const { return oil_; }

  /// A tank stays at another pressure from now on. @param node a tank; @param pressure gauge [Pa]
  void set_tank_pressure(int node, double pressure);

  /// At rest at atmospheric pressure, each volume holding that share of free air (drained back, or left by service).
  /// @param free_air [-], one a node Of a reservoir it is the share that is missing to the brim.
  State rest(const std::vector<double>& free_air) const;

  /// The state of another oil in the same circuit that has the same pressures, free air and own states: oil that warmed
  /// up.
  State carried_over(const Network& before, const State& state) const;

  /// Net flow into every node becomes the rate of its oil and air.
  void rates(const State& state, const Signals<double>& signals, State& rates);

  /// The exact Jacobian d(rates)/d(state), its pattern that of the circuit; d(rates)/dt for signals that change at
  /// signal_rates; and the rates themselves.
  void jacobian(const State& state, const Signals<double>& signals, const Signals<double>& signal_rates,
                Eigen::SparseMatrix<double>& jacobian, State& by_time, State& rates);

  /// Tolerance of each state that corresponds to rtol of its pressure, of the element's scale or of the throughput.
  void tolerances(const State& before, const State& after, double rtol, State& scale);

  NodeView view(const State& state, int node) const;
  double free_air(const State& state, int node)
      const;  // share of a volume that is air, at atmospheric pressure; of a reservoir: missing [-]
  double volume_flow(const State& state, const Signals<double>& signals, int link) const;  // [m3/s], from -> to
  double own(const State& state, int link, int which) const { return state[own_at_[link] + which]; }
  double received(const State& state, int tank) const { return state[tank_at_[tank]]; }  // [kg] since the start

  /// What no circuit can do, if this state does it: a pressure that has run away, named with its node.
  std::optional<Error> impossible(const State& state, double t);

  /// The first link whose flow or its derivatives are not finite, if there is one.
  std::optional<std::string> link_without_number(const State& state, const Signals<double>& signals,
                                                 const Signals<double>& signal_rates) const;

  /// What a state belongs to, for messages: "left rail (oil)".
  std::string name_of_state(int index) const;

 private:
  void view_all(const State& state);

  /// What a link passes leaves one node and enters the other. @param sums rates of all states, or any sums linear in
  /// them
  void book(const Link& link, double oil, double air, State& sums) const;
  NodeView view_reservoir(const Node& node, double x) const;
  JacobianBlocks blocks() const;

  Circuit circuit_;
  Oil oil_;
  int size_ = 0;
  std::vector<int> node_at_;  // index of x of a volume, -1 for a tank; g follows it
  std::vector<int> tank_at_;  // index of what a tank received, -1 for a volume
  std::vector<int> own_at_;   // index of the first own state of a link
  JacobianBlocks blocks_{0, {}};
  std::vector<MixtureVolume> volumes_;  // one a node, without meaning for a tank

  // Scratch of one evaluation: views of all nodes, those of tanks for good, and the oil and air of the volumes they
  // belong to.
  std::vector<NodeView> views_;
  std::vector<std::pair<double, double>> seen_;
};

}  // namespace railseep
