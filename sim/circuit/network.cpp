#include "circuit/network.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <unsupported/Eigen/AutoDiff>

#include "quantity/error.hpp"

namespace railseep {

namespace {

// Partial derivatives of an element by: from pressure, to pressure, its own states, time through the signals. Even in
// number, for the processor's registers.
template <class E>
using Partials = Eigen::Matrix<double, 2 * ((E::own_states + 4) / 2), 1>;

constexpr double change_over = 1e-9;  // flow within which the upstream side changes [m3/s]

constexpr double lowest_scale =
    1e6;  // pressures below are kept as exactly as this one [Pa]: more than any gauge shows (assumed)

constexpr double runaway = 5e8;  // no such circuit holds more: a pump without a way out for its oil [Pa]

// A reservoir: air goes with the oil below this share of its volume, and it closes over the last hundred-thousandth of
// it (assumed).
constexpr double low_level = 0.1;
constexpr double brim = 1e-5;
constexpr double brim_stiffness = 1e9;  // [Pa] for each volume pressed in beyond the brim

/// Share of the from side in what the stream carries: 1 well forward, 0 well backward.
double from_share(double flow) { return 0.5 * (1.0 + flow / std::sqrt(flow * flow + change_over * change_over)); }
double from_share_slope(double flow) {
  const double s = std::sqrt(flow * flow + change_over * change_over);
  return 0.5 * change_over * change_over / (s * s * s);
}

template <class E>
concept HasOwnStates = (E::own_states > 0);

/// What the flow of an element depends on; on all it sees unless it says so.
template <class E>
constexpr Dependence flow_by() {
  if constexpr (requires { E::flow_by; })
    return E::flow_by;
  else
    return {};
}

/// The same of one of its own rates.
template <class E>
constexpr Dependence own_by(int which) {
  if constexpr (requires { E::own_by; })
    return E::own_by[which];
  else
    return {};
}

template <class E>
constexpr bool passes_oil = !std::is_same_v<E, Sensor>;

// Rates and states around a link, as they stand in its block of the Jacobian; the element's own ones follow. A tank has
// received oil in place of x, and no g.
enum Around { oil_from, air_from, oil_to, air_to, first_own };

/// A pump draws the free air of the node before it along; no other element looks at it.
template <class E, class S>
void draw_air(Ports<S>& port, const S& content, const Oil& oil) {
  if constexpr (std::is_same_v<E, Pump>) port.from_air = content * oil.gas.expansion(port.from);
}

/// What a unit of the stream carries, from the one side or the other: 1 well forward, 0 well backward.
double carried(double share, double from, double to) { return share * from + (1.0 - share) * to; }

/// Free air in what a pump draws; its derivative stands after those by the pressures and the time.
constexpr int by_drawn_air = 3;
static_assert(Partials<Pump>::SizeAtCompileTime > by_drawn_air && Pump::own_states == 0);

}  // namespace

Network::Network(Circuit circuit, const Oil& oil) : circuit_(std::move(circuit)), oil_(oil) {
  const std::size_t nodes = circuit_.nodes.size();
  node_at_.assign(nodes, -1);
  tank_at_.assign(nodes, -1);
  views_.resize(nodes);
  seen_.assign(nodes, {NAN, NAN});
  for (std::size_t i = 0; i < nodes; ++i) {
    volumes_.emplace_back(circuit_.nodes[i].volume, oil_);
    if (!circuit_.nodes[i].tank) node_at_[i] = size_, size_ += 2;
  }
  for (const Link& link : circuit_.links) {
    own_at_.push_back(size_);
    size_ += std::visit([](const auto& e) { return e.own_states; }, link.element);
  }
  for (std::size_t i = 0; i < nodes; ++i) {
    const Node& node = circuit_.nodes[i];
    if (!node.tank) continue;
    tank_at_[i] = size_++;
    set_tank_pressure(static_cast<int>(i), node.pressure);
  }
  blocks_ = blocks();
}

/// The entries of the Jacobian that any state may give a value.
JacobianBlocks Network::blocks() const {
  std::vector<JacobianBlocks::Block> blocks;
  for (std::size_t i = 0; i < circuit_.links.size(); ++i) {
    const Link& link = circuit_.links[i];
    JacobianBlocks::Block& block = blocks.emplace_back();
    block.rows.fill(-1), block.columns.fill(-1), block.depends = {};
    // The oil a stream carries goes by x, and its air by g; a reservoir's pressure, oil and air go by x alone.
    bool by_x_alone[first_own] = {};
    for (const auto& [oil, node] : {std::pair(oil_from, link.from), std::pair(oil_to, link.to)}) {
      const int at = node_at_[node], air = oil + 1;
      block.rows[oil] = at >= 0 ? at : tank_at_[node];
      if (at < 0) continue;
      block.rows[air] = at + 1, block.columns[oil] = at;
      if (circuit_.nodes[node].reservoir)
        by_x_alone[oil] = true;
      else
        block.columns[air] = at + 1;
    }
    std::visit(
        [&]<class E>(const E&) {
          for (int row = 0; row < first_own + E::own_states; ++row) {
            const bool own = row >= first_own, air = row == air_from || row == air_to;
            if (!own && !passes_oil<E>) continue;
            const Dependence by = own ? own_by<E>(row - first_own) : flow_by<E>();
            for (int column = 0; column < first_own; ++column) {
              const bool of_g = column == air_from || column == air_to,
                         carried = !own && (air == of_g || by_x_alone[column]);
              block.depends[row][column] = by.pressures || carried;
            }
            for (int k = 0; k < E::own_states; ++k) block.depends[row][first_own + k] = by.own[k];
          }
          for (int k = 0; k < E::own_states; ++k)
            block.rows[first_own + k] = block.columns[first_own + k] = own_at_[i] + k;
        },
        link.element);
  }
  return {size_, blocks};
}

void Network::set_tank_pressure(int node, double pressure) {
  Node& tank = circuit_.nodes[node];
  tank.pressure = pressure;
  const double p = atmospheric_pressure + pressure, a = tank.free_air;
  const double oil_volume = (1.0 - a) / (1.0 + oil_.compression_at(p)),
               mixture = oil_volume + a * oil_.gas.expansion(p);
  views_[node] = {p, oil_.density * (1.0 - a) / mixture, a / mixture, 0, 0};
}

Network::State Network::rest(const std::vector<double>& free_air) const {
  State state = State::Zero(size_);
  for (std::size_t i = 0; i < circuit_.nodes.size(); ++i) {
    const Node& node = circuit_.nodes[i];
    if (node.tank) continue;
    const double air = free_air.at(i);
    if (node.reservoir && air >= 0 && air <= 1) {
      state[node_at_[i]] = -air * node.volume * oil_.density;
      continue;
    }
    if (!(air >= 0 && air <= 0.9))
      throw Error(node.name, "a free-air share of " + format_quantity(air, Quantity::ratio, "%") + " is out of range",
                  "write 0 % to 90 %");
    state[node_at_[i]] = -air * node.volume * oil_.density;
    state[node_at_[i] + 1] = air * node.volume;
  }
  for (std::size_t i = 0; i < circuit_.links.size(); ++i)
    std::visit(
        [&]<class E>(const E& element) {
          if constexpr (HasOwnStates<E>)
            for (int k = 0; k < E::own_states; ++k) state[own_at_[i] + k] = element.own_start()[k];
        },
        circuit_.links[i].element);
  return state;
}

Network::State Network::carried_over(const Network& before, const State& old) const {
  State state = old;
  for (std::size_t i = 0; i < circuit_.nodes.size(); ++i) {
    const int at = node_at_[i];
    if (at < 0) continue;
    if (circuit_.nodes[i].reservoir) {
      state[at] = old[at] * oil_.density / before.oil_.density;
      continue;
    }
    const double p = before.view(old, static_cast<int>(i)).pressure, volume = circuit_.nodes[i].volume, g = old[at + 1];
    const double squeezed = oil_.compression_at(p);
    state[at] = oil_.density * (squeezed * volume - (1.0 + squeezed) * g * oil_.gas.expansion(p));
  }
  return state;
}

double Network::free_air(const State& state, int node) const {
  const int at = node_at_[node];
  if (at < 0) return circuit_.nodes[node].free_air;
  const double volume = circuit_.nodes[node].volume;
  return circuit_.nodes[node].reservoir ? -state[at] / (oil_.density * volume) : state[at + 1] / volume;
}

NodeView Network::view(const State& state, int node) const {
  if (node_at_[node] < 0) return views_[node];
  if (circuit_.nodes[node].reservoir) return view_reservoir(circuit_.nodes[node], state[node_at_[node]]);
  return volumes_[node].view(state[node_at_[node]], state[node_at_[node] + 1], oil_);
}

NodeView Network::view_reservoir(const Node& node, double x) const {
  const double rho = oil_.density, per_fill = 1.0 / (rho * node.volume), fill = 1.0 + x * per_fill;  // 1 at the brim
  const double head = 9.80665 * rho * node.height;  // of a full one [Pa]
  const double over = rounded_ramp(fill - 1.0, brim),
               closed = 1.0 / (1.0 + std::exp(-std::clamp((fill - 1.0) / brim, -40.0, 40.0)));
  const double level = fill / low_level, wet = smooth_step(level);
  const double wet_slope = level > 0 && level < 1 ? 6.0 * level * (1.0 - level) / low_level * per_fill : 0;
  const double dry = 1.0 - node.free_air;
  return {atmospheric_pressure + head * fill + brim_stiffness * over,
          rho * wet * dry,
          1.0 - wet * dry,
          (head + brim_stiffness * closed) * per_fill,
          0,
          rho * wet_slope * dry,
          -wet_slope * dry,
          0};
}

void Network::view_all(const State& state) {
  for (std::size_t i = 0; i < views_.size(); ++i) {
    const int at = node_at_[i];
    if (at < 0) continue;
    if (circuit_.nodes[i].reservoir) {
      views_[i] = view_reservoir(circuit_.nodes[i], state[at]);
      continue;
    }
    const double x = state[at], g = state[at + 1];
    auto& [seen_x, seen_g] = seen_[i];
    if (x == seen_x && g == seen_g) continue;
    // States come one close to the other: along the slopes from the last one the pressure is almost found.
    const double last = views_[i].pressure,
                 along = last + views_[i].by_oil * (x - seen_x) + views_[i].by_air * (g - seen_g);
    views_[i] = volumes_[i].view(x, g, oil_, along > 0.5 * last && along < 2.0 * last ? along : 0);
    seen_x = x, seen_g = g;
  }
}

void Network::book(const Link& link, double oil, double air, State& sums) const {
  const auto enter = [&](int node, double sign) {
    if (const int at = node_at_[node]; at >= 0) {
      sums[at] += sign * oil;
      sums[at + 1] += sign * air;
    } else {
      sums[tank_at_[node]] += sign * oil;
    }
  };
  enter(link.from, -1.0);
  enter(link.to, 1.0);
}

void Network::rates(const State& state, const Signals<double>& signals, State& rates) {
  view_all(state);
  rates.setZero(size_);
  for (std::size_t i = 0; i < circuit_.links.size(); ++i) {
    const Link& link = circuit_.links[i];
    const NodeView &from = views_[link.from], &to = views_[link.to];
    const int own = own_at_[i];
    std::visit(
        [&]<class E>(const E& element) {
          Ports<double> port{from.pressure, to.pressure, {0, 0}};
          draw_air<E>(port, from.air_content, oil_);
          if constexpr (HasOwnStates<E>) {
            for (int k = 0; k < E::own_states; ++k) port.own[k] = state[own + k];
            const auto own_rates = element.own_rates(port, signals, oil_);
            for (int k = 0; k < E::own_states; ++k) rates[own + k] = own_rates[k];
          }
          if constexpr (passes_oil<E>) {
            const double flow = element.volume_flow(port, signals, oil_), share = from_share(flow);
            book(link, flow * carried(share, from.oil_content, to.oil_content),
                 flow * carried(share, from.air_content, to.air_content), rates);
          }
        },
        link.element);
  }
}

void Network::jacobian(const State& state, const Signals<double>& signals, const Signals<double>& signal_rates,
                       Eigen::SparseMatrix<double>& jacobian, State& by_time, State& rates) {
  view_all(state);
  blocks_.clear(jacobian);
  by_time.setZero(size_);
  rates.setZero(size_);
  constexpr int width = JacobianBlocks::width;
  JacobianBlocks::Values values;
  for (std::size_t i = 0; i < circuit_.links.size(); ++i) {
    const Link& link = circuit_.links[i];
    const NodeView &from = views_[link.from], &to = views_[link.to];
    const int own = own_at_[i];
    std::visit(
        [&]<class E>(const E& element) {
          using Dual = Eigen::AutoDiffScalar<Partials<E>>;
          constexpr int time = 2 + E::own_states, columns = first_own + E::own_states;
          const auto dual = [](double value, int which, double rate = 1) {
            return Dual(value, rate * Partials<E>::Unit(which));
          };
          const Signals<Dual> signal{dual(signals.speed, time, signal_rates.speed),
                                     dual(signals.coil_voltage, time, signal_rates.coil_voltage),
                                     dual(signals.crank_angle, time, signals.speed),
                                     signals.ripple,
                                     signals.pulse,
                                     signals.coil_warming};
          Ports<Dual> port{dual(from.pressure, 0), dual(to.pressure, 1), {}};
          if constexpr (std::is_same_v<E, Pump>) draw_air<E>(port, dual(from.air_content, by_drawn_air), oil_);
          // From derivatives by pressures to those by what the nodes hold.
          const auto by_states = [&](const Partials<E>& d, double* row) {
            row[oil_from] = d[0] * from.by_oil, row[air_from] = d[0] * from.by_air;
            row[oil_to] = d[1] * to.by_oil, row[air_to] = d[1] * to.by_air;
            if constexpr (std::is_same_v<E, Pump>)
              row[oil_from] += d[by_drawn_air] * from.air_by_oil, row[air_from] += d[by_drawn_air] * from.air_by_air;
            for (int k = 0; k < E::own_states; ++k) row[first_own + k] = d[2 + k];
          };
          if constexpr (HasOwnStates<E>) {
            for (int k = 0; k < E::own_states; ++k) port.own[k] = dual(state[own + k], 2 + k);
            const auto own_rates = element.own_rates(port, signal, oil_);
            for (int k = 0; k < E::own_states; ++k) {
              rates[own + k] = own_rates[k].value();
              by_time[own + k] = own_rates[k].derivatives()[time];
              by_states(own_rates[k].derivatives(), &values[(first_own + k) * width]);
            }
          }
          if constexpr (passes_oil<E>) {
            const Dual flow = element.volume_flow(port, signal, oil_);
            const double q = flow.value(), share = from_share(q), turn = q * from_share_slope(q);
            const double carried_oil = carried(share, from.oil_content, to.oil_content);
            const double carried_air = carried(share, from.air_content, to.air_content);
            const double oil = carried_oil + turn * (from.oil_content - to.oil_content);
            const double air = carried_air + turn * (from.air_content - to.air_content);
            const double q_from = q * share, q_to = q * (1.0 - share), q_by_time = flow.derivatives()[time];
            // What enters one node has left the other: the same rows but for the sign.
            double *oil_in = &values[oil_to * width], *air_in = &values[air_to * width];
            double q_by[columns];
            by_states(flow.derivatives(), q_by);
            for (int c = 0; c < columns; ++c) oil_in[c] = oil * q_by[c], air_in[c] = air * q_by[c];
            oil_in[oil_from] += q_from * from.oil_by_oil, oil_in[oil_to] += q_to * to.oil_by_oil;
            air_in[oil_from] += q_from * from.air_by_oil, air_in[air_from] += q_from * from.air_by_air;
            air_in[oil_to] += q_to * to.air_by_oil, air_in[air_to] += q_to * to.air_by_air;
            for (int c = 0; c < columns; ++c)
              values[oil_from * width + c] = -oil_in[c], values[air_from * width + c] = -air_in[c];
            book(link, q * carried_oil, q * carried_air, rates);
            book(link, oil * q_by_time, air * q_by_time, by_time);
          }
        },
        link.element);
    blocks_.add(i, values, jacobian);
  }
}

void Network::tolerances(const State& before, const State& after, double rtol, State& scale) {
  scale.resize(size_);
  view_all(after);
  for (std::size_t i = 0; i < node_at_.size(); ++i) {
    const int at = node_at_[i];
    if (at < 0) continue;
    const NodeView& node = views_[i];
    const double tolerance = rtol * std::max(node.pressure, lowest_scale);
    scale[at] = std::min(tolerance / node.by_oil, rtol * oil_.density * circuit_.nodes[i].volume);
    scale[at + 1] = rtol * (std::max({before[at + 1], after[at + 1], 0.0}) + 1e-4 * circuit_.nodes[i].volume);
  }
  for (std::size_t i = 0; i < circuit_.links.size(); ++i)
    std::visit(
        [&]<class E>(const E&) {
          if constexpr (HasOwnStates<E>)
            for (int k = 0; k < E::own_states; ++k) {
              const int at = own_at_[i] + k;
              scale[at] = rtol * (E::own_scale[k] + std::max(std::abs(before[at]), std::abs(after[at])));
            }
        },
        circuit_.links[i].element);
  for (std::size_t i = 0; i < tank_at_.size(); ++i)
    if (const int at = tank_at_[i]; at >= 0) scale[at] = rtol * (0.1 + std::abs(after[at]));
}

double Network::volume_flow(const State& state, const Signals<double>& signals, int link) const {
  const Link& l = circuit_.links[link];
  return std::visit(
      [&]<class E>(const E& element) {
        const NodeView from = view(state, l.from);
        Ports<double> port{from.pressure, view(state, l.to).pressure, {0, 0}};
        draw_air<E>(port, from.air_content, oil_);
        for (int k = 0; k < E::own_states; ++k) port.own[k] = state[own_at_[link] + k];
        return element.volume_flow(port, signals, oil_);
      },
      l.element);
}

std::optional<Error> Network::impossible(const State& state, double t) {
  view_all(state);
  for (std::size_t i = 0; i < circuit_.nodes.size(); ++i) {
    const double p = views_[i].pressure;
    if (!(p > runaway)) continue;
    return Error("t = " + std::to_string(t) + " s",
                 "the pressure of \"" + circuit_.nodes[i].name + "\" has run away to " +
                     format_quantity(p, Quantity::pressure, "MPa", 3),
                 "give the oil a way out: a pump fills this node and nothing empties it");
  }
  return std::nullopt;
}

std::optional<std::string> Network::link_without_number(const State& state, const Signals<double>& signals,
                                                        const Signals<double>& signal_rates) const {
  for (std::size_t i = 0; i < circuit_.links.size(); ++i) {
    // A network of all nodes and this link: its nodes' states come first, as here, then the link's own.
    Circuit alone = circuit_;
    alone.links = {circuit_.links[i]};
    Network one(std::move(alone), oil_);
    const int nodes = own_at_.front(),
              own = std::visit([](const auto&element) { return element.own_states; }, circuit_.links[i].element);
    State part = State::Zero(one.size_);
    part.head(nodes) = state.head(nodes);
    part.segment(nodes, own) = state.segment(own_at_[i], own);
    Eigen::SparseMatrix<double> slopes;
    State by_time, flows;
    one.jacobian(part, signals, signal_rates, slopes, by_time, flows);
    if (!(slopes.coeffs().allFinite() && by_time.allFinite() && flows.allFinite())) return circuit_.links[i].name;
  }
  return std::nullopt;
}

std::string Network::name_of_state(int index) const {
  for (std::size_t i = 0; i < node_at_.size(); ++i) {
    if (node_at_[i] >= 0 && (index == node_at_[i] || index == node_at_[i] + 1))
      return circuit_.nodes[i].name + (index == node_at_[i] ? " (oil)" : " (air)");
    if (index == tank_at_[i]) return circuit_.nodes[i].name + " (received)";
  }
  for (std::size_t i = circuit_.links.size(); i-- > 0;)
    if (index >= own_at_[i]) return circuit_.links[i].name;
  return "state " + std::to_string(index);
}

}  // namespace railseep
