#include "circuit/circuit_file.hpp"

#include <algorithm>
#include <set>

#include "circuit/circuit_fields.hpp"
#include "circuit/listening_file.hpp"
#include "circuit/schema_check.hpp"
#include "fluid/grade.hpp"
#include "quantity/error.hpp"

namespace railseep {

namespace {

void read_parameters(JsonFields& fields, Link& link) {
  for (const ParameterView& p : parameters_of(link.element)) {
    const std::string key(p.key);
    double value;
    if (p.fallback && !fields.has(key.c_str())) {
      value = *p.fallback;
    } else {
      const WrittenNumber number = fields.number(key.c_str(), p.quantity);
      value = number.value;
      if (number.spread > 0 || !number.source.empty()) link.provenance[key] = {number.spread, number.source};
    }
    set_checked(link.element, key, value, fields.place_of(key.c_str()));
  }
  if (const auto* valve = std::get_if<CheckValve>(&link.element))
    refuse_unless_rising(valve->cracking_pressure, valve->full_pressure, fields.place_of("full_pressure"));
  if (const auto* seal = std::get_if<LiftingSeal>(&link.element))
    refuse_unless_rising(seal->opening_pressure, seal->full_pressure, fields.place_of("full_pressure"));
  if (const auto* seal = std::get_if<StickingSeal>(&link.element))
    refuse_unless_rising(seal->opening_pressure, seal->full_pressure, fields.place_of("full_pressure"));
}

double free_air_of(JsonFields& fields) {
  const double air = fields.quantity("free_air", Quantity::ratio, 0.0);
  if (air < 0 || air > 0.3)
    throw Error(fields.place_of("free_air"), "the share of air is out of range", "write 0 % to 30 %");
  return air;
}

void read_volume(JsonFields& fields, const char* key, Node& node) {
  const WrittenNumber volume = fields.number(key, Quantity::volume);
  node.volume = volume.value;
  if (volume.spread > 0 || !volume.source.empty()) node.provenance["volume"] = {volume.spread, volume.source};
  if (!(node.volume >= 1e-9 && node.volume <= 1))
    throw Error(fields.place_of(key), "the volume is out of range",
                "write 0.001 cm3 to 1000 L, or \"tank_pressure\" for a tank");
}

/// What drains out of a volume while the engine stands.
void read_drain(JsonFields& fields, Node& node) {
  if (!fields.has("drains_through") && !fields.has("drain_share") && !fields.has("drain_height")) return;
  fields.expect({"drains_through", "drain_share", "drain_height"});
  node.drains_through = fields.text("drains_through");
  node.drain_share = fields.quantity("drain_share", Quantity::ratio);
  node.drain_height = fields.quantity("drain_height", Quantity::length);
  const double most = node.reservoir ? 1 : 0.85;
  if (!(node.drain_share >= 0 && node.drain_share <= most))
    throw Error(fields.place_of("drain_share"), "the share that drains is out of range",
                "write 0 % to " + format_quantity(most, Quantity::ratio, "%"));
  if (!(node.drain_height > 0 && node.drain_height <= 5))
    throw Error(fields.place_of("drain_height"), "the height is out of range", "write a height above 0 m, up to 5 m");
}

Node read_node(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  Node node;
  node.name = read_name(fields);
  node.tank = fields.has("tank_pressure");
  node.reservoir = fields.has("reservoir_volume");
  if (node.tank) {
    node.pressure = fields.quantity("tank_pressure", Quantity::pressure);
    node.free_air = free_air_of(fields);
    if (node.pressure <= -atmospheric_pressure)
      throw Error(fields.place_of("tank_pressure"), "there is no such pressure",
                  "write a gauge pressure above -101 kPa");
  } else if (node.reservoir) {
    read_volume(fields, "reservoir_volume", node);
    node.free_air = free_air_of(fields);
    node.height = fields.quantity("height", Quantity::length);
    if (!(node.height >= 1e-3 && node.height <= 10))
      throw Error(fields.place_of("height"), "the height is out of range", "write 1 mm to 10 m");
    read_drain(fields, node);
  } else {
    read_volume(fields, "volume", node);
    read_drain(fields, node);
  }
  if (fields.has("at")) {
    const Json& at = fields.raw("at");
    if (!at.is_array() || at.size() != 2 || !at[0].is_number() || !at[1].is_number())
      throw Error(fields.place_of("at"), at.dump() + " is not a place on the drawing", "write two numbers, [x, y]");
    node.at = {at[0].get<double>(), at[1].get<double>()};
  }
  node.source = fields.text("source");
  fields.finish();
  return node;
}

Link read_link(const Json& json, const std::string& place, const Circuit& circuit) {
  JsonFields fields(json, place);
  Link link;
  link.name = read_name(fields);
  link.element = element_of_kind(fields.text("kind"), fields.place_of("kind"));
  link.from = node_named(fields, "from", circuit);
  link.to = node_named(fields, "to", circuit);
  if (link.from == link.to)
    throw Error(fields.place_of("to"), "both ends are \"" + circuit.nodes[link.to].name + "\"", "name another node");
  link.access = access_named(fields, circuit, false);
  link.labour = read_labour(fields, 0.0);
  read_parameters(fields, link);
  link.source = fields.text("source");
  fields.finish();
  return link;
}

LeakClass leak_class_named(const std::string& found, const std::string& place) {
  std::vector<std::string> known;
  for (const LeakClass kind : {LeakClass::hole, LeakClass::gap, LeakClass::lifting_seal}) {
    if (found == word(kind)) return kind;
    known.emplace_back(word(kind));
  }
  refuse_word(place, found, known, "leak class");
}

Leak read_leak(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  Leak leak;
  leak.kind = leak_class_named(fields.text("class"), fields.place_of("class"));
  Element element = element_of_kind(std::string(word(leak.kind)), place);
  const auto checked = [&](const char* key, Quantity quantity, std::string_view parameter) {
    const double value = fields.quantity(key, quantity);
    set_checked(element, parameter, value, fields.place_of(key));
    return value;
  };
  const char* size = leak.kind == LeakClass::gap ? "clearance" : "diameter";
  leak.least = checked("least", Quantity::length, size);
  leak.most = checked("most", Quantity::length, size);
  if (!(leak.least > 0 && leak.most > leak.least))
    throw Error(fields.place_of("most"), "the sizes do not rise from \"least\" to \"most\"",
                "write least above 0 and most above least");
  if (leak.kind == LeakClass::gap) {
    leak.width = checked("width", Quantity::length, "width");
    leak.length = checked("length", Quantity::length, "length");
  }
  if (leak.kind == LeakClass::lifting_seal) {
    leak.opening_pressure = checked("opening_pressure", Quantity::pressure, "opening_pressure");
    leak.full_pressure = checked("full_pressure", Quantity::pressure, "full_pressure");
    refuse_unless_rising(leak.opening_pressure, leak.full_pressure, fields.place_of("full_pressure"));
  }
  fields.finish();
  return leak;
}

Site read_site(const Json& json, const std::string& place, const Circuit& circuit) {
  JsonFields fields(json, place);
  Site site;
  site.name = read_name(fields);
  site.node = node_named(fields, "node", circuit);
  site.to = node_named(fields, "to", circuit);
  if (site.node == site.to)
    throw Error(fields.place_of("to"), "oil would leak from \"" + circuit.nodes[site.to].name + "\" to itself",
                "name another node");
  fields.each(
      "leaks", [&](const Json& leak, const std::string& at) { site.leaks.push_back(read_leak(leak, at)); }, true);
  if (site.leaks.empty())
    throw Error(fields.place_of("leaks"), "the list is empty", "name at least one way it can leak");
  std::set<LeakClass> seen;
  for (const Leak& leak : site.leaks)
    if (!seen.insert(leak.kind).second)
      throw Error(fields.place_of("leaks"), "the class \"" + std::string(word(leak.kind)) + "\" stands twice",
                  "name each class once");
  site.access = access_named(fields, circuit, true);
  site.labour = read_labour(fields);
  site.source = fields.text("source");
  fields.finish();
  return site;
}

using Steps = std::vector<std::pair<double, double>>;

/// A list of pressures over something that rises from entry to entry.
Steps read_rising(JsonFields& fields, const char* key, const char* over, Quantity quantity, const Error& unsorted,
                  bool required) {
  Steps steps;
  fields.each(
      key,
      [&](const Json& json, const std::string& at) {
        JsonFields point(json, at);
        const double here = point.quantity(over, quantity);
        if (!steps.empty() && here <= steps.back().first)
          throw Error(point.place_of(over), unsorted.found(), unsorted.expected());
        steps.emplace_back(here, point.quantity("pressure", Quantity::pressure));
        point.finish();
      },
      required);
  return steps;
}

void require(bool right, const JsonFields& fields, const char* key, const std::string& found,
             const std::string& expected) {
  if (!right) throw Error(fields.place_of(key), found, expected);
}

/// What no control module can be set to. The comparisons are written so that NaN fails them.
void refuse_odd_settings(const ControlSettings& control, const JsonFields& fields) {
  const auto above_zero = [&](double value, const char* key, const std::string& what, const std::string& example) {
    require(value > 0, fields, key, "the " + what + " is not above 0", "write one such as \"" + example + "\"");
  };
  above_zero(control.hold_pressure, "hold_pressure", "pressure", "360 psi");
  above_zero(control.idle_speed, "idle_speed", "speed", "650 rpm");
  above_zero(control.crank_pulse, "crank_pulse", "time", "2 ms");
  above_zero(control.idle_pulse, "idle_pulse", "time", "1 ms");
  require(control.sample_time >= 1e-4 && control.sample_time <= 1, fields, "sample_time",
          "the sample time is out of range", "write 0.1 ms to 1 s");
  require(control.least_duty >= 0 && control.most_duty > control.least_duty && control.most_duty <= 1, fields,
          "most_duty", "the duty limits do not rise", "write 0 % <= least_duty < most_duty <= 100 %");
  require(control.start_duty >= 0 && control.start_duty <= 1, fields, "start_duty", "the duty is out of range",
          "write 0 % to 100 %");
  require(control.enable_pressure > 0 && control.sync_time >= 0, fields, "enable_pressure",
          "a pressure or time is below 0", "write an enable_pressure above 0 psi and a sync_time of 0 s or more");
  require(control.proportional_gain >= 0 && control.integral_time > 0, fields, "integral_time",
          "the gains are out of range", "write a duty_per_pressure of 0 % or more and an integral_time above 0 s");
}

ControlSettings read_control(JsonFields fields) {
  fields.expect({"start_duty", "least_duty", "most_duty", "wanted_pressure", "enable_pressure"});
  ControlSettings control;
  control.sample_time = fields.quantity("sample_time", Quantity::time);
  const Error cold_first("", "the temperatures do not rise", "sort the list by oil temperature");
  control.wanted_pressure =
      read_rising(fields, "wanted_pressure", "oil_temperature", Quantity::temperature, cold_first, true);
  require(!control.wanted_pressure.empty(), fields, "wanted_pressure", "the list is empty",
          "give at least one oil temperature and pressure");
  control.start_duty = fields.quantity("start_duty", Quantity::ratio);
  const double correction = fields.quantity("duty_per_pressure", Quantity::ratio);  // written per MPa of shortfall
  control.proportional_gain = correction / 1e6;
  control.integral_time = fields.quantity("integral_time", Quantity::time);
  control.least_duty = fields.quantity("least_duty", Quantity::ratio);
  control.most_duty = fields.quantity("most_duty", Quantity::ratio);
  control.enable_pressure = fields.quantity("enable_pressure", Quantity::pressure);
  control.sync_time = fields.quantity("sync_time", Quantity::time);
  const Error slow_first("", "the speeds do not rise", "sort the list by speed");
  control.running_pressure = read_rising(fields, "running_pressure", "speed", Quantity::speed, slow_first, false);
  const ControlSettings standard;
  control.hold_pressure = fields.quantity("hold_pressure", Quantity::pressure, standard.hold_pressure);
  control.idle_speed = fields.quantity("idle_speed", Quantity::speed, standard.idle_speed);
  control.crank_pulse = fields.quantity("crank_pulse", Quantity::time, standard.crank_pulse);
  control.idle_pulse = fields.quantity("idle_pulse", Quantity::time, standard.idle_pulse);
  control.source = fields.text("source");
  fields.finish();
  refuse_odd_settings(control, fields);
  return control;
}

StarterSettings read_starter(JsonFields fields) {
  StarterSettings starter;
  for (const ParameterView& p : parameters_of(starter)) {
    const std::string key(p.key);
    try {
      set_parameter(starter, key, fields.quantity(key.c_str(), p.quantity, p.fallback));
    } catch (const Error& error) {
      if (error.place() != key) throw;
      throw Error(fields.place_of(key.c_str()), error.found(), error.expected());
    }
  }
  starter.source = fields.text("source");
  fields.finish();
  return starter;
}

Block read_block(const Json& json, const std::string& place, const Circuit& circuit) {
  JsonFields fields(json, place);
  Block block;
  block.name = read_name(fields);
  fields.each(
      "links",
      [&](const Json& item, const std::string& at) {
        if (!item.is_string()) throw Error(at, item.dump() + " is not a name", "write the name of a link");
        block.links.push_back(item.get<std::string>());
        try {
          circuit.find_link(block.links.back());
        } catch (const Error& error) {
          throw Error(at, error.found(), error.expected());
        }
      },
      true);
  block.sensor_node = circuit.nodes[node_named(fields, "sensor_node", circuit)].name;
  block.source = fields.text("source");
  fields.finish();
  return block;
}

void refuse_twice(const Circuit& circuit) {
  std::set<std::string> seen;
  const auto check = [&](const std::string& name, const char* list, std::size_t index) {
    if (!seen.insert(name).second)
      throw Error(std::string("/") + list + "/" + std::to_string(index) + "/name",
                  "the name \"" + name + "\" is used twice", "give each node, link and site its own name");
  };
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) check(circuit.nodes[i].name, "nodes", i);
  for (std::size_t i = 0; i < circuit.links.size(); ++i) check(circuit.links[i].name, "links", i);
  for (std::size_t i = 0; i < circuit.sites.size(); ++i) check(circuit.sites[i].name, "sites", i);
  seen.clear();
  for (std::size_t i = 0; i < circuit.access.size(); ++i) check(circuit.access[i].name, "access", i);
}

/// The program asks for the sensor and for the regulator: a second one would never be looked at.
template <class E>
void refuse_second(const Circuit& circuit) {
  const int first = circuit.only<E>();
  for (std::size_t i = static_cast<std::size_t>(first + 1); i < circuit.links.size(); ++i)
    if (first >= 0 && std::holds_alternative<E>(circuit.links[i].element))
      throw Error("/links/" + std::to_string(i) + "/kind",
                  "this is a second " + std::string(E::kind) + ", beside \"" +
                      circuit.links[static_cast<std::size_t>(first)].name + "\"",
                  "keep one of the two");
}

/// A volume that no link joins never changes, and a tank that neither link nor site names is a mistyped one.
void refuse_unjoined(const Circuit& circuit) {
  for (int i = 0; i < static_cast<int>(circuit.nodes.size()); ++i) {
    const auto ends_at = [i](const auto& one) { return one.to == i; };
    const bool linked =
        std::ranges::any_of(circuit.links, [&](const Link& link) { return link.from == i || ends_at(link); });
    const bool leaked_into = circuit.nodes[i].tank && std::ranges::any_of(circuit.sites, ends_at);
    if (linked || leaked_into) continue;
    throw Error("/nodes/" + std::to_string(i), "nothing joins \"" + circuit.nodes[i].name + "\" to another node",
                "add the link that is missing, or leave the node out");
  }
}

/// Nodes that oil reaches from one without passing a tank or a pump.
std::vector<bool> reached_from(const Circuit& circuit, int start) {
  std::vector<bool> reached(circuit.nodes.size(), false);
  reached[start] = true;
  for (bool grew = true; grew;) {
    grew = false;
    for (const Link& link : circuit.links) {
      if (std::holds_alternative<Pump>(link.element) || circuit.nodes[link.from].tank || circuit.nodes[link.to].tank)
        continue;
      if (reached[link.from] != reached[link.to]) reached[link.from] = reached[link.to] = grew = true;
    }
  }
  return reached;
}

/// A pump that draws from where the sensor sits, and not the other way round, has its ends swapped.
void refuse_swapped_pump(const Circuit& circuit) {
  const int sensor = circuit.only<Sensor>();
  for (std::size_t i = 0; i < circuit.links.size() && sensor >= 0; ++i) {
    const Link& pump = circuit.links[i];
    const int measured = circuit.links[sensor].from;
    if (!std::holds_alternative<Pump>(pump.element) || !reached_from(circuit, pump.from)[measured] ||
        reached_from(circuit, pump.to)[measured])
      continue;
    throw Error("/links/" + std::to_string(i) + "/from",
                "the pump draws from \"" + circuit.nodes[pump.from].name + "\", where the pressure is measured",
                "swap \"from\" and \"to\"");
  }
}

Circuit read_fields(const Json& json) {
  JsonFields fields = JsonFields::top(json, "");
  Circuit circuit;
  if (fields.text("railseep") != "circuit")
    throw Error(fields.place_of("railseep"), "this is not a circuit file", "write \"railseep\": \"circuit\"");
  circuit.name = read_line(fields, "name");
  circuit.about = fields.text("about", "");
  circuit.oil = fields.text("oil");
  try {
    find_oil_grade(circuit.oil);
  } catch (const Error& error) {
    throw Error(fields.place_of("oil"), error.found(), error.expected());
  }
  fields.each(
      "access",
      [&](const Json& item, const std::string& at) {
        JsonFields group(item, at);
        circuit.access.push_back({read_name(group), read_labour(group), group.text("source")});
        group.finish();
      },
      true);
  fields.each(
      "nodes", [&](const Json& item, const std::string& at) { circuit.nodes.push_back(read_node(item, at)); }, true);
  if (circuit.nodes.empty()) throw Error(fields.place_of("nodes"), "the list is empty", "name at least two nodes");
  fields.each(
      "links", [&](const Json& item, const std::string& at) { circuit.links.push_back(read_link(item, at, circuit)); },
      true);
  fields.each("sites",
              [&](const Json& item, const std::string& at) { circuit.sites.push_back(read_site(item, at, circuit)); });
  fields.each("blocks", [&](const Json& item, const std::string& at) {
    circuit.blocks.push_back(read_block(item, at, circuit));
  });
  if (fields.has("starter")) circuit.starter = read_starter(fields.object("starter"));
  circuit.control = read_control(fields.object("control"));
  if (fields.has("listening")) circuit.listening = read_listening(fields.object("listening"), circuit);
  fields.finish();
  refuse_twice(circuit);
  refuse_second<Sensor>(circuit);
  refuse_second<Regulator>(circuit);
  refuse_unjoined(circuit);
  refuse_swapped_pump(circuit);
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    const std::string& through = circuit.nodes[i].drains_through;
    if (through.empty()) continue;
    try {
      circuit.find_link(through);
    } catch (const Error& error) {
      throw Error("/nodes/" + std::to_string(i) + "/drains_through", error.found(), error.expected());
    }
  }
  return circuit;
}

}  // namespace

Circuit parse_circuit(const std::string& text, const std::string& place) {
  const Json json = parse_json(text, place);
  try {
    Circuit circuit = read_fields(json);
    check_against_schema(json);
    return circuit;
  } catch (const Error& error) {
    throw error.within(place);
  }
}

Circuit read_circuit(const std::string& path) { return parse_circuit(read_text(path), path); }

}  // namespace railseep
