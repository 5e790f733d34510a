#include "circuit/circuit_file.hpp"

#include <algorithm>
#include <set>

#include "circuit/listening_file.hpp"
#include "fluid/grade.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

[[noreturn]] void refuse_word(const std::string& place, const std::string& found, const std::vector<std::string>& known,
                              const std::string& what) {
  const std::string near = nearest_word(found, known);
  std::string listed;
  for (const std::string& name : known) listed += (listed.empty() ? "\"" : ", \"") + name + "\"";
  throw Error(place, "\"" + found + "\" is not a " + what, near.empty() ? "write one of " + listed : "did you mean \"" + near + "\"");
}

/// An element of the kind that a file names, with its numbers still to be read.
Element element_of_kind(const std::string& kind, const std::string& place) {
  static const std::vector<Element> kinds{Hole{}, Gap{}, LiftingSeal{}, Passage{}, CheckValve{}, Pump{}, Regulator{}, Sensor{}};
  std::vector<std::string> known;
  for (const Element& element : kinds) {
    if (kind == kind_of(element)) return element;
    known.emplace_back(kind_of(element));
  }
  refuse_word(place, kind, known, "kind of link");
}

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
    try {
      set_parameter(link.element, key, value);
    } catch (const Error& error) {
      throw Error(fields.place_of(key.c_str()), error.found(), error.expected());
    }
  }
}

/// Index of a node that a file names. @throws Error at that place
int node_named(JsonFields& fields, const char* key, const Circuit& circuit) {
  try {
    return circuit.find_node(fields.text(key));
  } catch (const Error& error) {
    throw Error(fields.place_of(key), error.found(), error.expected());
  }
}

std::string access_named(JsonFields& fields, const Circuit& circuit, bool required) {
  const std::string name = required ? fields.text("access") : fields.text("access", "");
  std::vector<std::string> known;
  for (const Access& access : circuit.access) known.push_back(access.name);
  if (!name.empty() && std::find(known.begin(), known.end(), name) == known.end())
    refuse_word(fields.place_of("access"), name, known, "group under \"access\"");
  return name;
}

Node read_node(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  Node node;
  node.name = fields.text("name");
  node.tank = fields.has("tank_pressure");
  if (node.tank) {
    node.pressure = fields.quantity("tank_pressure", Quantity::pressure);
    node.free_air = fields.quantity("free_air", Quantity::ratio, 0.0);
    if (node.pressure <= -atmospheric_pressure)
      throw Error(fields.place_of("tank_pressure"), "there is no such pressure", "write a gauge pressure above -101 kPa");
    if (node.free_air < 0 || node.free_air > 0.3)
      throw Error(fields.place_of("free_air"), "the share of air is out of range", "write 0 % to 30 %");
  } else {
    const WrittenNumber volume = fields.number("volume", Quantity::volume);
    node.volume = volume.value;
    if (volume.spread > 0 || !volume.source.empty()) node.provenance["volume"] = {volume.spread, volume.source};
    if (!(node.volume >= 1e-9 && node.volume <= 1))
      throw Error(fields.place_of("volume"), "the volume is out of range", "write 0.001 cm3 to 1000 L, or \"tank_pressure\" for a tank");
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
  link.name = fields.text("name");
  link.element = element_of_kind(fields.text("kind"), fields.place_of("kind"));
  link.from = node_named(fields, "from", circuit);
  link.to = node_named(fields, "to", circuit);
  if (link.from == link.to) throw Error(fields.place_of("to"), "both ends are \"" + circuit.nodes[link.to].name + "\"", "name another node");
  link.access = access_named(fields, circuit, false);
  link.labour = fields.quantity("labour", Quantity::time, 0.0);
  read_parameters(fields, link);
  link.source = fields.text("source");
  fields.finish();
  return link;
}

Leak read_leak(const Json& json, const std::string& place) {
  JsonFields fields(json, place);
  const std::string kind = fields.text("class");
  Leak leak;
  if (kind == "hole") leak.kind = LeakClass::hole;
  else if (kind == "gap") leak.kind = LeakClass::gap;
  else if (kind == "lifting seal") leak.kind = LeakClass::lifting_seal;
  else refuse_word(fields.place_of("class"), kind, {"hole", "gap", "lifting seal"}, "leak class");
  leak.least = fields.quantity("least", Quantity::length);
  leak.most = fields.quantity("most", Quantity::length);
  if (!(leak.least > 0 && leak.most > leak.least))
    throw Error(fields.place_of("most"), "the sizes do not rise from \"least\" to \"most\"", "write least above 0 and most above least");
  if (leak.kind == LeakClass::gap) {
    leak.width = fields.quantity("width", Quantity::length);
    leak.length = fields.quantity("length", Quantity::length);
  }
  if (leak.kind == LeakClass::lifting_seal) {
    leak.opening_pressure = fields.quantity("opening_pressure", Quantity::pressure);
    leak.full_pressure = fields.quantity("full_pressure", Quantity::pressure);
  }
  fields.finish();
  return leak;
}

Site read_site(const Json& json, const std::string& place, const Circuit& circuit) {
  JsonFields fields(json, place);
  Site site;
  site.name = fields.text("name");
  site.node = node_named(fields, "node", circuit);
  site.to = node_named(fields, "to", circuit);
  fields.each("leaks", [&](const Json& leak, const std::string& at) { site.leaks.push_back(read_leak(leak, at)); }, true);
  if (site.leaks.empty()) throw Error(fields.place_of("leaks"), "the list is empty", "name at least one way it can leak");
  site.access = access_named(fields, circuit, true);
  site.labour = fields.quantity("labour", Quantity::time);
  site.source = fields.text("source");
  fields.finish();
  return site;
}

ControlSettings read_control(JsonFields fields) {
  ControlSettings control;
  control.sample_time = fields.quantity("sample_time", Quantity::time);
  fields.each("wanted_pressure", [&](const Json& json, const std::string& at) {
    JsonFields point(json, at);
    const double temperature = point.quantity("oil_temperature", Quantity::temperature);
    if (!control.wanted_pressure.empty() && temperature <= control.wanted_pressure.back().first)
      throw Error(point.place_of("oil_temperature"), "the temperatures do not rise", "sort the list by oil temperature");
    control.wanted_pressure.emplace_back(temperature, point.quantity("pressure", Quantity::pressure));
    point.finish();
  }, true);
  if (control.wanted_pressure.empty())
    throw Error(fields.place_of("wanted_pressure"), "the list is empty", "give at least one oil temperature and pressure");
  control.start_duty = fields.quantity("start_duty", Quantity::ratio);
  const double correction = fields.quantity("duty_per_pressure", Quantity::ratio);  // written per MPa of shortfall
  control.proportional_gain = correction / 1e6;
  control.integral_time = fields.quantity("integral_time", Quantity::time);
  control.least_duty = fields.quantity("least_duty", Quantity::ratio);
  control.most_duty = fields.quantity("most_duty", Quantity::ratio);
  control.enable_pressure = fields.quantity("enable_pressure", Quantity::pressure);
  control.sync_time = fields.quantity("sync_time", Quantity::time);
  control.source = fields.text("source");
  fields.finish();
  if (!(control.sample_time >= 1e-4 && control.sample_time <= 1))
    throw Error(fields.place_of("sample_time"), "the sample time is out of range", "write 0.1 ms to 1 s");
  if (!(control.least_duty >= 0 && control.most_duty > control.least_duty && control.most_duty <= 1))
    throw Error(fields.place_of("most_duty"), "the duty limits do not rise", "write 0 % <= least_duty < most_duty <= 100 %");
  if (!(control.proportional_gain >= 0 && control.integral_time > 0))
    throw Error(fields.place_of("integral_time"), "the gains are out of range", "write a duty_per_pressure of 0 % or more and an integral_time above 0 s");
  return control;
}

void refuse_twice(const Circuit& circuit, const std::string& place) {
  std::set<std::string> seen;
  const auto check = [&](const std::string& name, const char* list, std::size_t index) {
    if (!seen.insert(name).second)
      throw Error(place + ", /" + list + "/" + std::to_string(index) + "/name", "the name \"" + name + "\" is used twice", "give each node, link and site its own name");
  };
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) check(circuit.nodes[i].name, "nodes", i);
  for (std::size_t i = 0; i < circuit.links.size(); ++i) check(circuit.links[i].name, "links", i);
  for (std::size_t i = 0; i < circuit.sites.size(); ++i) check(circuit.sites[i].name, "sites", i);
}

}  // namespace

Circuit parse_circuit(const std::string& text, const std::string& place) {
  const Json json = parse_json(text, place);
  JsonFields fields(json, place + ", ");
  Circuit circuit;
  if (fields.text("railseep") != "circuit") throw Error(fields.place_of("railseep"), "this is not a circuit file", "write \"railseep\": \"circuit\"");
  circuit.name = fields.text("name");
  circuit.about = fields.text("about", "");
  circuit.oil = fields.text("oil");
  try {
    find_oil_grade(circuit.oil);
  } catch (const Error& error) {
    throw error.within(fields.place_of("oil"));
  }
  fields.each("access", [&](const Json& item, const std::string& at) {
    JsonFields group(item, at);
    circuit.access.push_back({group.text("name"), group.quantity("labour", Quantity::time), group.text("source")});
    group.finish();
  }, true);
  fields.each("nodes", [&](const Json& item, const std::string& at) { circuit.nodes.push_back(read_node(item, at)); }, true);
  fields.each("links", [&](const Json& item, const std::string& at) { circuit.links.push_back(read_link(item, at, circuit)); }, true);
  fields.each("sites", [&](const Json& item, const std::string& at) { circuit.sites.push_back(read_site(item, at, circuit)); });
  circuit.control = read_control(fields.object("control"));
  if (fields.has("listening")) circuit.listening = read_listening(fields.object("listening"), circuit);
  fields.finish();
  refuse_twice(circuit, place);
  return circuit;
}

Circuit read_circuit(const std::string& path) { return parse_circuit(read_text(path), path); }

}  // namespace railseep
