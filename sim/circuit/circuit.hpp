#pragma once

#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/elements/check_valve.hpp"
#include "circuit/elements/gap.hpp"
#include "circuit/elements/hole.hpp"
#include "circuit/elements/lifting_seal.hpp"
#include "circuit/elements/passage.hpp"
#include "circuit/elements/pump.hpp"
#include "circuit/elements/regulator.hpp"
#include "circuit/elements/sensor.hpp"
#include "circuit/listening.hpp"

namespace railseep {

using Element = std::variant<Hole, Gap, LiftingSeal, Passage, CheckValve, Pump, Regulator, Sensor>;

/// How far a number may be off and where it comes from: kept beside each number that says so itself.
struct Provenance {
  double spread = 0;   // one standard deviation of ln(number) [-]; above 0 makes the number a nuisance parameter of the match
  std::string source;  // empty: the element's own source covers it
};

/// A volume filled with oil and free air, or a tank that stays at its pressure whatever flows.
struct Node {
  std::string name;
  bool tank = false;
  double volume = 0;      // V [m3], 0 for a tank
  double pressure = 0;    // of a tank, gauge [Pa]
  double free_air = 0;    // of a tank: volume share of air carried in its oil, at atmospheric pressure [-]
  std::array<double, 2> at{0, 0};  // where it is drawn [-]
  std::map<std::string, Provenance> provenance;
  std::string source;
};

/// An element between two nodes.
struct Link {
  std::string name;
  int from = 0, to = 0;  // indices into Circuit::nodes
  Element element;
  std::string access;    // group that must be opened to reach it; empty: not something one replaces
  double labour = 0;     // [s] once the access is open
  std::map<std::string, Provenance> provenance;  // by parameter key
  std::string source;
};

enum class LeakClass { hole, gap, lifting_seal };
std::string_view word(LeakClass leak);

/// One way a site can leak, with the sizes that are typical for it. The size is a diameter (hole, lifting seal) or a clearance (gap).
struct Leak {
  LeakClass kind = LeakClass::hole;
  double least = 1e-4, most = 1e-3;         // typical sizes [m]
  double width = 0, length = 0;             // of a gap [m]
  double opening_pressure = 0, full_pressure = 0;  // of a lifting seal [Pa]
};

/// A place that can leak: seal, fitting, clearance.
struct Site {
  std::string name;
  int node = 0, to = 0;  // oil goes from node to to (crankcase, fuel side ...)
  std::vector<Leak> leaks;
  std::string access;
  double labour = 0;  // [s] once the access is open
  std::string source;
};

/// What must come off to reach a group of parts.
struct Access {
  std::string name;
  double labour = 0;  // [s]
  std::string source;
};

/// Settings of the engine's control module, as far as the oil side goes. Pressures are gauge.
struct ControlSettings {
  double sample_time = 0.01;                              // [s]
  std::vector<std::pair<double, double>> wanted_pressure;  // while cranking: (oil temperature [K], pressure [Pa]), rising in temperature
  double start_duty = 0.3;         // feed-forward at the wanted pressure [-]
  double proportional_gain = 0;    // [1/Pa]
  double integral_time = 1;        // [s]: a steady shortfall adds as much again in this time
  double least_duty = 0;           // [-]
  double most_duty = 0.85;         // ceiling [-]
  double enable_pressure = 3.5e6;  // injection is allowed above this [Pa]
  double sync_time = 0;            // cranking time before the module knows where the engine stands [s]
  std::string source;
};

/// The oil side of one engine type: read once, then const.
struct Circuit {
  std::string name, about;
  std::string oil;  // grade normally used
  std::vector<Node> nodes;
  std::vector<Link> links;
  std::vector<Site> sites;
  std::vector<Access> access;
  ControlSettings control;
  Listening listening;  // empty when the file says nothing of it

  int find_node(std::string_view wanted) const;  // @throws Error with the nearest known name; so do the next two
  int find_link(std::string_view wanted) const;
  int find_site(std::string_view wanted) const;

  template <class E>
  int only() const;  // index of the one link of this kind, -1 when there is none
};

template <class E>
int Circuit::only() const {
  for (std::size_t i = 0; i < links.size(); ++i)
    if (std::holds_alternative<E>(links[i].element)) return static_cast<int>(i);
  return -1;
}

std::string_view kind_of(const Element& element);

/// One number of an element, found by its key.
struct ParameterView {
  std::string_view key;
  Quantity quantity;
  double least, most;
  std::string_view unit, meaning;
  std::optional<double> fallback;
  double value;
};

std::vector<ParameterView> parameters_of(const Element& element);

/// @throws Error when the element has no such number, or it would leave its range
void set_parameter(Element& element, std::string_view key, double value);
double get_parameter(const Element& element, std::string_view key);

}  // namespace railseep
