#include "circuit/air/air_network.hpp"

#include <cmath>
#include <unsupported/Eigen/AutoDiff>

#include "quantity/error.hpp"

namespace railseep {

namespace {

// Partial derivatives by: air from, air to, oil from, oil to, wetness, supply pressure, coil current.
using Partials = Eigen::Matrix<double, 7, 1>;
using Dual = Eigen::AutoDiffScalar<Partials>;

// Rates that a link changes, and states that it sees, as they stand in its block of the Jacobian.
enum Around { air_from, air_to, oil_from, oil_to, own_wetness, around };

constexpr int supply_node = -1;  // stands for the shop's air where a link asks for its nodes

}  // namespace

/// What one link does to the states around it.
template <class S>
struct AirNetwork::Inflow {
  S flow;              // [kg/s], from -> to
  S oil_from, oil_to;  // rate of the residual oil on both sides [1/s]
  S wet;               // rate of the link's own wetness [1/s]
};

AirNetwork::AirNetwork(Circuit circuit, const AirSupply& supply, int feed, double temperature, const Wetting& wetting)
    : circuit_(std::move(circuit)), supply_(supply), wetting_(wetting), feed_(feed), temperature_(temperature) {
  const auto nodes = circuit_.nodes.size();
  for (Node& node : circuit_.nodes) node.tank = node.tank || node.reservoir;
  if (circuit_.nodes.at(static_cast<std::size_t>(feed)).tank)
    throw Error(circuit_.nodes[static_cast<std::size_t>(feed)].name, "it is a tank and cannot be fed with air",
                "name a rail or the pump side");
  for (const Node& node : circuit_.nodes) volume_.push_back(node.volume);
  volume_.push_back(supply.gauge_volume);
  node_at_.assign(nodes + 1, -1);
  tank_at_.assign(nodes + 2, -1);
  for (std::size_t i = 0; i <= nodes; ++i)
    if (i == nodes || !circuit_.nodes[i].tank) node_at_[i] = size_, size_ += 2;
  for (int i = 0; i < links(); ++i)
    wet_at_.push_back(from_of(i) != supply_node && (node_at_[from_of(i)] < 0) != (node_at_[to_of(i)] < 0) ? size_++
                                                                                                          : -1);
  for (std::size_t i = 0; i < nodes; ++i)
    if (circuit_.nodes[i].tank) tank_at_[i] = size_++;
  tank_at_[nodes + 1] = size_++;
  for (const double volume : volume_)
    reference_.push_back(
        {atmospheric_pressure * volume / (Air::gas_constant * temperature), atmospheric_pressure, temperature});
  blocks_ = blocks();
}

int AirNetwork::from_of(int link) const {
  const int own = static_cast<int>(circuit_.links.size());
  return link < own ? circuit_.links[link].from : link == own ? supply_node : gauge();
}

int AirNetwork::to_of(int link) const {
  const int own = static_cast<int>(circuit_.links.size());
  return link < own ? circuit_.links[link].to : link == own ? gauge() : feed_;
}

AirNetwork::State AirNetwork::rest(double oil) const {
  if (!(oil >= 0 && oil <= 1))
    throw Error("residual oil", format_quantity(oil, Quantity::ratio, "%") + " is out of range", "write 0 % to 100 %");
  State state = State::Zero(size_);
  for (std::size_t i = 0; i < node_at_.size(); ++i) {
    if (node_at_[i] < 0) continue;
    state[node_at_[i] + 1] = static_cast<int>(i) == gauge() ? 0 : oil;
    set_pressure(state, static_cast<int>(i), atmospheric_pressure);
  }
  for (const int at : wet_at_)
    if (at >= 0) state[at] = oil;
  return state;
}

void AirNetwork::set_pressure(State& state, int node, double pressure) const {
  state[node_at_[node]] = reference_[node].mass * std::pow(pressure / reference_[node].pressure, 1.0 / exponent_);
}

void AirNetwork::set_exponent(double exponent, const State& state) {
  for (std::size_t i = 0; i < node_at_.size(); ++i) {
    if (node_at_[i] < 0) continue;
    const double mass = state[node_at_[i]], p = pressure(state, static_cast<int>(i));
    reference_[i] = {mass, p, p * volume_[i] / (Air::gas_constant * mass)};
  }
  exponent_ = exponent;
}

template <class S>
S AirNetwork::pressure_of(int node, const S& mass) const {
  using std::pow;
  const Reference& ref = reference_[node];
  return exponent_ == 1 ? S(ref.pressure / ref.mass * mass) : S(ref.pressure * pow(S(mass / ref.mass), exponent_));
}

template <class S>
S AirNetwork::temperature_of(int node, const S& mass) const {
  using std::pow;
  const Reference& ref = reference_[node];
  return exponent_ == 1 ? S(0.0 * mass + ref.temperature) : S(ref.temperature * pow(S(mass / ref.mass), exponent_ - 1));
}

template <class S>
AirNetwork::Inflow<S> AirNetwork::evaluate(int link, const S& m_from, const S& m_to, const S& oil_from, const S& oil_to,
                                           const S& wet, const S& supply, const S& current, bool valve_open) const {
  const int from = from_of(link), to = to_of(link), own = static_cast<int>(circuit_.links.size());
  const S room = S(0.0 * m_from + temperature_), outside = S(0.0 * m_from + atmospheric_pressure);
  const bool from_volume = from != supply_node && node_at_[from] >= 0, to_volume = node_at_[to] >= 0;
  const AirPorts<S> port{from == supply_node ? supply
                         : from_volume       ? pressure_of(from, m_from)
                                             : outside,
                         to_volume ? pressure_of(to, m_to) : outside, from_volume ? temperature_of(from, m_from) : room,
                         to_volume ? temperature_of(to, m_to) : room, current};
  S flow = link < own   ? element_air_flow(circuit_.links[link].element, port)
           : link > own ? air_flow(supply_.adapter, port)
           : valve_open ? air_flow(supply_.hose, port)
                        : S(0.0 * m_from);
  const S none = S(0.0 * m_from);
  Inflow<S> in{flow, none, none, none};
  if (wet_at_[link] >= 0) {
    in.flow = flow * (1.0 - wetting_.blocked * wet);
    const S out = from_volume ? in.flow : S(-in.flow);  // from the volume into the tank
    if (out > 0.0) in.wet = -(wet - (from_volume ? oil_from : oil_to)) * out / wetting_.blow_out;
  }
  if (in.flow > 0.0 && from_volume) in.oil_from = -oil_from * in.flow / (wetting_.volume_changes * m_from);
  if (in.flow < 0.0 && to_volume) in.oil_to = oil_to * in.flow / (wetting_.volume_changes * m_to);
  return in;
}

void AirNetwork::rates(const State& state, const AirSignals& signals, State& rates) const {
  rates.setZero(size_);
  for (int i = 0; i < links(); ++i) {
    const int from = from_of(i), to = to_of(i);
    const int at_from = from == supply_node ? -1 : node_at_[from], at_to = node_at_[to];
    const auto value = [&](int at) { return at < 0 ? 0.0 : state[at]; };
    const Inflow<double> in = evaluate<double>(i, value(at_from), value(at_to), at_from < 0 ? 0 : state[at_from + 1],
                                               at_to < 0 ? 0 : state[at_to + 1], value(wet_at_[i]),
                                               signals.supply_pressure, signals.coil_current, signals.valve_open);
    rates[at_from >= 0 ? at_from : from == supply_node ? tank_at_.back() : tank_at_[from]] -= in.flow;
    rates[at_to >= 0 ? at_to : tank_at_[to]] += in.flow;
    if (at_from >= 0) rates[at_from + 1] += in.oil_from;
    if (at_to >= 0) rates[at_to + 1] += in.oil_to;
    if (wet_at_[i] >= 0) rates[wet_at_[i]] += in.wet;
  }
}

/// The entries of the Jacobian that any state may give a value: a flow goes by the air on both sides and the wetness,
/// residual oil by itself too, wetness by all.
JacobianBlocks AirNetwork::blocks() const {
  std::vector<JacobianBlocks::Block> blocks;
  for (int i = 0; i < links(); ++i) {
    const int from = from_of(i), to = to_of(i);
    const int at_from = from == supply_node ? -1 : node_at_[from], at_to = node_at_[to];
    JacobianBlocks::Block& block = blocks.emplace_back();
    block.rows =
        block.columns = {at_from, at_to, at_from < 0 ? -1 : at_from + 1, at_to < 0 ? -1 : at_to + 1, wet_at_[i], -1};
    if (at_from < 0) block.rows[air_from] = from == supply_node ? tank_at_.back() : tank_at_[from];
    if (at_to < 0) block.rows[air_to] = tank_at_[to];
    for (int row = 0; row < around; ++row)
      for (int column = 0; column < around; ++column)
        block.depends[row][column] =
            row == own_wetness || row == column || column == air_from || column == air_to || column == own_wetness;
  }
  return {size_, blocks};
}

void AirNetwork::jacobian(const State& state, const AirSignals& signals, Eigen::SparseMatrix<double>& jacobian,
                          State& by_time) const {
  blocks_.clear(jacobian);
  by_time.setZero(size_);
  JacobianBlocks::Values values;
  for (int i = 0; i < links(); ++i) {
    const int from = from_of(i), to = to_of(i), wet = wet_at_[i];
    const int at_from = from == supply_node ? -1 : node_at_[from], at_to = node_at_[to];
    const auto dual = [&](int at, int which) { return Dual(at < 0 ? 0.0 : state[at], Partials::Unit(which)); };
    const Inflow<Dual> in =
        evaluate<Dual>(i, dual(at_from, air_from), dual(at_to, air_to), dual(at_from < 0 ? -1 : at_from + 1, oil_from),
                       dual(at_to < 0 ? -1 : at_to + 1, oil_to), dual(wet, own_wetness),
                       Dual(signals.supply_pressure, Partials::Unit(5)), Dual(signals.coil_current, Partials::Unit(6)),
                       signals.valve_open);
    const auto spread = [&](int row, int at, const Dual& rate, double sign) {
      for (int k = 0; k < around; ++k) values[row * JacobianBlocks::width + k] = sign * rate.derivatives()[k];
      if (at >= 0) by_time[at] += sign * rate.derivatives()[5] * signals.supply_rate;
    };
    spread(air_from, at_from >= 0 ? at_from : from == supply_node ? tank_at_.back() : tank_at_[from], in.flow, -1);
    spread(air_to, at_to >= 0 ? at_to : tank_at_[to], in.flow, 1);
    spread(oil_from, at_from >= 0 ? at_from + 1 : -1, in.oil_from, 1);
    spread(oil_to, at_to >= 0 ? at_to + 1 : -1, in.oil_to, 1);
    spread(own_wetness, wet, in.wet, 1);
    blocks_.add(static_cast<std::size_t>(i), values, jacobian);
  }
}

void AirNetwork::tolerances(const State& after, double rtol, State& scale) const {
  scale.setConstant(size_, rtol);
  double largest = 0;
  for (std::size_t i = 0; i < node_at_.size(); ++i) {
    if (node_at_[i] < 0) continue;
    scale[node_at_[i]] = rtol * (std::abs(after[node_at_[i]]) + 0.1 * reference_[i].mass);
    largest = std::max(largest, reference_[i].mass);
  }
  for (const int at : tank_at_)
    if (at >= 0) scale[at] = rtol * (largest + std::abs(after[at]));
}

double AirNetwork::pressure(const State& state, int node) const {
  return node_at_[node] < 0 ? atmospheric_pressure : pressure_of<double>(node, state[node_at_[node]]);
}

double AirNetwork::temperature(const State& state, int node) const {
  return node_at_[node] < 0 ? temperature_ : temperature_of<double>(node, state[node_at_[node]]);
}

double AirNetwork::flow(const State& state, const AirSignals& signals, int link) const {
  const Link& l = circuit_.links[link];
  const AirPorts<double> port{pressure(state, l.from), pressure(state, l.to), temperature(state, l.from),
                              temperature(state, l.to), signals.coil_current};
  return element_air_flow(l.element, port) * (1.0 - wetting_.blocked * wetness(state, link));
}

double AirNetwork::supplied(const State& state, const AirSignals& signals) const {
  if (!signals.valve_open) return 0;
  return air_flow(supply_.hose, AirPorts<double>{signals.supply_pressure, pressure(state, gauge()), temperature_,
                                                 temperature(state, gauge()), 0});
}

double AirNetwork::wetness(const State& state, int link) const { return wet_at_[link] < 0 ? 0 : state[wet_at_[link]]; }

double AirNetwork::total_air(const State& state) const {
  double sum = 0;
  for (const int at : node_at_) sum += at < 0 ? 0 : state[at];
  for (const int at : tank_at_) sum += at < 0 ? 0 : state[at];
  return sum;
}

std::string AirNetwork::name_of_state(int index) const {
  for (std::size_t i = 0; i < node_at_.size(); ++i)
    if (node_at_[i] >= 0 && (index == node_at_[i] || index == node_at_[i] + 1))
      return (static_cast<int>(i) == gauge() ? "gauge" : circuit_.nodes[i].name) +
             (index == node_at_[i] ? " (air)" : " (residual oil)");
  for (std::size_t i = 0; i < circuit_.links.size(); ++i)
    if (index == wet_at_[i]) return circuit_.links[i].name + " (wetness)";
  return "received air";
}

std::vector<std::string> AirNetwork::closed_links() const {
  std::vector<std::string> names;
  for (const Link& link : circuit_.links)
    if (!has_air_law(link.element)) names.push_back(link.name);
  return names;
}

}  // namespace railseep
