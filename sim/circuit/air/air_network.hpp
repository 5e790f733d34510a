#pragma once

#include <Eigen/SparseCore>
#include <string>
#include <vector>

#include "circuit/air/element_flow.hpp"
#include "circuit/air/iso6358.hpp"
#include "circuit/jacobian_blocks.hpp"

namespace railseep {

/// Shop air on its way to the circuit: regulator and hose to the gauge, adapter from the gauge into the circuit.
struct AirSupply {
  Iso6358 hose{2.5e-8, 0.3};     // regulator, shut-off and 6 mm hose: assumed
  Iso6358 adapter{1.6e-8, 0.4};  // 4 mm bore in the sensor's port: assumed
  double gauge_volume = 3e-5;    // between shut-off and adapter [m3]: assumed
};

/// How residual oil leaves. Every number is assumed: no measurement was found.
struct Wetting {
  double volume_changes = 5;  // changes of a node's air that carry its oil down to 1/e [-]
  double blow_out = 1e-3;     // air that clears a wet leak down to 1/e, once no oil comes after it [kg]
  double blocked = 0.8;       // share of a wholly wet leak that oil keeps shut [-]
};

/// What reaches the air side from outside.
struct AirSignals {
  double supply_pressure = atmospheric_pressure;  // of the shop regulator, absolute [Pa]
  double coil_current = 0;                        // in the pressure regulator's coil [A]
  double supply_rate = 0;                         // slope of the supply pressure [Pa/s]
  bool valve_open = true;                         // the shut-off in the hose
};

/// A circuit filled with air, fed at one node, as a system of ordinary differential equations.
///
/// State of each volume (the gauge's comes last): its air m [kg] and the share of its residual oil that is left, 1 to
/// 0. Then for each link between a volume and a tank how wet it is, 1 to 0. Then the air each tank received and the
/// supply gave [kg]: the sum of all air never changes.
///
///     p = p_ref*(m/m_ref)^n,   T = T_ref*(m/m_ref)^(n-1)       n = 1 isothermal .. 1.4 adiabatic; ref: the state at
///     rest, or when n was set wet leak: flow*(1 - blocked*w),   dw/dt = -(w - oil)*m_out/blow_out,   d(oil)/dt =
///     -oil*m_out/(volume_changes*m)
///
/// Tanks and vented reservoirs stand at atmospheric pressure: the lubricating pump is still. Reservoirs become tanks of
/// circuit().
class AirNetwork {
 public:
  using State = Eigen::VectorXd;

  AirNetwork(Circuit circuit, const AirSupply& supply, int feed, double temperature, const Wetting& wetting = {});

  int size() const { return size_; }
  const Circuit& circuit() const { return circuit_; }
  double temperature() const { return temperature_; }
  int gauge() const { return static_cast<int>(circuit_.nodes.size()); }  // node index of the gauge

  /// At atmospheric pressure. @param oil share of residual oil, 0 blown dry .. 1 just drained
  State rest(double oil) const;
  /// A volume at another pressure, same temperature.
  void set_pressure(State& state, int node, double pressure) const;
  /// Compression and expansion follow n from this state on.
  void set_exponent(double exponent, const State& state);

  void rates(const State& state, const AirSignals& signals, State& rates) const;
  void jacobian(const State& state, const AirSignals& signals, Eigen::SparseMatrix<double>& jacobian,
                State& by_time) const;
  void tolerances(const State& after, double rtol, State& scale) const;

  double pressure(const State& state, int node) const;                         // absolute [Pa]
  double temperature(const State& state, int node) const;                      // [K]
  double flow(const State& state, const AirSignals& signals, int link) const;  // [kg/s], from -> to
  double supplied(const State& state, const AirSignals& signals) const;        // into the gauge [kg/s]
  double wetness(const State& state, int link) const;                          // [-], 0 for a link that joins volumes
  double total_air(const State& state) const;                                  // conserved [kg]

  std::string name_of_state(int index) const;
  /// Links of a kind without an air law, taken as closed.
  std::vector<std::string> closed_links() const;

 private:
  struct Reference {
    double mass, pressure, temperature;
  };
  int links() const { return static_cast<int>(circuit_.links.size()) + 2; }  // the hose and the adapter come last
  int from_of(int link) const;
  int to_of(int link) const;
  JacobianBlocks blocks() const;
  template <class S>
  struct Inflow;
  template <class S>
  Inflow<S> evaluate(int link, const S& m_from, const S& m_to, const S& oil_from, const S& oil_to, const S& wet,
                     const S& supply, const S& current, bool valve_open) const;
  template <class S>
  S pressure_of(int node, const S& mass) const;
  template <class S>
  S temperature_of(int node, const S& mass) const;

  Circuit circuit_;
  AirSupply supply_;
  Wetting wetting_;
  int feed_, size_ = 0;
  double temperature_, exponent_ = 1;
  std::vector<int> node_at_;  // index of the air of a volume (its oil follows), -1 for a tank
  std::vector<int> tank_at_;  // index of what a tank received, -1 for a volume; the last is the supply's
  std::vector<int> wet_at_;   // index of a link's wetness, -1 when it joins volumes
  JacobianBlocks blocks_{0, {}};
  std::vector<double> volume_;  // [m3]
  std::vector<Reference> reference_;
};

}  // namespace railseep
