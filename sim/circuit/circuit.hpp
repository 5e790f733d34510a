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
#include "circuit/elements/injector.hpp"
#include "circuit/elements/lifting_seal.hpp"
#include "circuit/elements/line.hpp"
#include "circuit/elements/lube_pump.hpp"
#include "circuit/elements/passage.hpp"
#include "circuit/elements/pump.hpp"
#include "circuit/elements/regulator.hpp"
#include "circuit/elements/screen.hpp"
#include "circuit/elements/sensor.hpp"
#include "circuit/elements/sticking_seal.hpp"
#include "circuit/listening.hpp"

namespace railseep {

using Element = std::variant<Hole, Gap, LiftingSeal, Passage, CheckValve, Pump, Regulator, Sensor, Injector, Screen,
                             LubePump, Line, StickingSeal>;

/// How far a number may be off and where it comes from: kept beside each number that says so itself.
struct Provenance {
  double spread =
      0;  // one standard deviation of ln(number) [-]; above 0 makes the number a nuisance parameter of the match
  std::string source;  // empty: the element's own source covers it
};

/// A volume filled with oil and free air, an open reservoir, or a tank that stays at its pressure whatever flows.
///
/// A reservoir is vented: its pressure is that of the column of oil in it, until it is full to the brim and closes like
/// a float valve. When the level comes near the outlet, air goes with the oil.
struct Node {
  std::string name;
  bool tank = false;
  bool reservoir = false;
  double volume = 0;    // V [m3], 0 for a tank; of a reservoir: when full
  double height = 0;    // of a reservoir: from the outlet to the brim [m]
  double pressure = 0;  // of a tank, gauge [Pa]
  double free_air = 0;  // of a tank or reservoir: volume share of air carried in its oil, at atmospheric pressure [-]
  double missing = 0;   // of a reservoir: share that is not there when cranking begins, a fault [-]
  double drain_share = 0;          // of the volume: lies above what it drains to while the engine stands [-]
  double drain_height = 0;         // mean height of that oil [m]
  std::string drains_through;      // link whose leakage it runs through; empty: it does not drain
  std::array<double, 2> at{0, 0};  // where it is drawn [-]
  std::map<std::string, Provenance> provenance;
  std::string source;
};

/// An element between two nodes.
struct Link {
  std::string name;
  int from = 0, to = 0;  // indices into Circuit::nodes
  Element element;
  std::string access;  // group that must be opened to reach it; empty: not something one replaces
  double labour = 0;   // [s] once the access is open
  std::map<std::string, Provenance> provenance;  // by parameter key
  std::string source;
};

enum class LeakClass { hole, gap, lifting_seal };
std::string_view word(LeakClass leak);

/// One way a site can leak, with the sizes that are typical for it. The size is a diameter (hole, lifting seal) or a
/// clearance (gap).
struct Leak {
  LeakClass kind = LeakClass::hole;
  double least = 1e-4, most = 1e-3;                // typical sizes [m]
  double width = 0, length = 0;                    // of a gap [m]
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

/// Way to split the circuit for a test: links that are plugged, and where the sensor goes.
struct Block {
  std::string name;                // "both rails", "left rail"
  std::vector<std::string> links;  // plugged
  std::string sensor_node;         // the gauge is moved here
  std::string source;
};

/// What is wrong around the oil circuit rather than in it; all as it should be by default.
struct EngineState {
  double fuel_in_oil = 0;       // volume share [-]
  double oil_thickness = 1;     // times the viscosity of the right grade [-]
  double air_in_oil = 0;        // added to what every tank carries, volume share at atmospheric pressure [-]
  double air_left = 0;          // added to what stands in every volume when cranking begins, volume share [-]
  double cranking_speed = 1;    // times the speed of a healthy starter [-]
  double synchronised = 1;      // below 0.5: the module does not know where the engine stands
  double regulator_driver = 1;  // below 0.5: the module's output is dead, the duty stays at its floor

  static constexpr std::string_view kind = "engine";
  static constexpr auto parameters() {
    using E = EngineState;
    return std::array{
        Parameter<E>{"fuel_in_oil", Quantity::ratio, &E::fuel_in_oil, 0, 0.5, "%", "fuel in the oil, by volume", 0.0},
        Parameter<E>{"oil_thickness", Quantity::ratio, &E::oil_thickness, 0.05, 20, "x",
                     "viscosity as a multiple of the right oil's", 1.0},
        Parameter<E>{"air_in_oil", Quantity::ratio, &E::air_in_oil, 0, 0.3, "%", "air carried in the oil", 0.0},
        Parameter<E>{"air_left", Quantity::ratio, &E::air_left, 0, 0.8, "%", "air in the passages when cranking begins",
                     0.0},
        Parameter<E>{"cranking_speed", Quantity::ratio, &E::cranking_speed, 0.05, 2, "%",
                     "cranking speed, of a healthy one", 1.0},
        Parameter<E>{"synchronised", Quantity::ratio, &E::synchronised, 0, 1, "",
                     "1: the module knows where the engine stands", 1.0},
        Parameter<E>{"regulator_driver", Quantity::ratio, &E::regulator_driver, 0, 1, "",
                     "1: the module's output works", 1.0}};
  }
};

/// Starter, battery and what they turn against; drive/starter.hpp says how. The defaults are assumed: 190 rpm hot, 165
/// rpm at 20 degC in 15W-40.
struct StarterSettings {
  double voltage = 12.6;             // of the rested battery [V]
  double resistance = 9e-3;          // battery, cables and starter [ohm]
  double battery_resistance = 6e-3;  // of it, before the point where the module measures [ohm]
  double free_speed = 26.5;          // crankshaft, without any load [rad/s]
  double drag_torque = 142;          // compression and dry friction, mean [N.m]
  double oil_drag_torque = 32;       // of the oil at 100 rpm and 0.1 Pa.s [N.m]
  double run_up_time = 0.15;         // time constant of running up without oil drag [s]
  std::string source = "assumed";

  static constexpr std::string_view kind = "starter";
  static constexpr auto parameters() {
    using T = StarterSettings;
    return std::array{Parameter<T>{"voltage", Quantity::voltage, &T::voltage, 1, 60, "V", "rested battery", 12.6},
                      Parameter<T>{"resistance", Quantity::resistance, &T::resistance, 1e-4, 1, "ohm",
                                   "battery, cables and starter", 9e-3},
                      Parameter<T>{"battery_resistance", Quantity::resistance, &T::battery_resistance, 0, 1, "ohm",
                                   "of it, battery and its side of the module", 6e-3},
                      Parameter<T>{"free_speed", Quantity::speed, &T::free_speed, 1, 100, "rpm",
                                   "crankshaft speed without load", 26.5},
                      Parameter<T>{"drag_torque", Quantity::torque, &T::drag_torque, 0, 5000, "N.m",
                                   "compression and dry friction", 142.0},
                      Parameter<T>{"oil_drag_torque", Quantity::torque, &T::oil_drag_torque, 0, 5000, "N.m",
                                   "oil drag at 100 rpm and 0.1 Pa.s", 32.0},
                      Parameter<T>{"run_up_time", Quantity::time, &T::run_up_time, 1e-3, 10, "s",
                                   "time constant of running up", 0.15}};
  }
};

/// Settings of the engine's control module, as far as the oil side goes. Pressures are gauge.
struct ControlSettings {
  double sample_time = 0.01;  // [s]
  std::vector<std::pair<double, double>>
      wanted_pressure;             // while cranking: (oil temperature [K], pressure [Pa]), rising in temperature
  double start_duty = 0.3;         // feed-forward at the wanted pressure [-]
  double proportional_gain = 0;    // [1/Pa]
  double integral_time = 1;        // [s]: a steady shortfall adds as much again in this time
  double least_duty = 0;           // [-]
  double most_duty = 0.85;         // ceiling [-]
  double enable_pressure = 3.5e6;  // injection is allowed above this [Pa]
  double sync_time = 0;            // cranking time before the module knows where the engine stands [s]
  std::vector<std::pair<double, double>>
      running_pressure;          // with the engine running: (speed [rad/s], pressure [Pa]); empty: as when cranking
  double hold_pressure = 2.5e6;  // the engine stalls below this [Pa]
  double idle_speed = 68.06784082777885;  // 650 rpm [rad/s]
  double crank_pulse = 2e-3;              // injectors are held open while cranking [s]
  double idle_pulse = 1e-3;               // and at idle [s]
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
  std::vector<Block> blocks;
  StarterSettings starter;
  EngineState engine;
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

/// One element of each kind, with the numbers it begins with.
std::vector<Element> each_element();

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
std::vector<ParameterView> parameters_of(const StarterSettings& starter);

/// @throws Error when the element has no such number, or it would leave its range
void set_parameter(Element& element, std::string_view key, double value);
void set_parameter(StarterSettings& starter, std::string_view key, double value);
void set_parameter(EngineState& engine, std::string_view key, double value);
double get_parameter(const Element& element, std::string_view key);
double get_parameter(const EngineState& engine, std::string_view key);

}  // namespace railseep
