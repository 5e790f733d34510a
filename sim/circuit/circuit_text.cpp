#include "circuit/circuit_file.hpp"
#include "circuit/listening_file.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

namespace {

Json written(double value, Quantity quantity, std::string_view unit, const Provenance* provenance) {
  const std::string text = write_quantity(value, quantity, unit);
  if (!provenance) return text;
  Json number{{"value", text}};
  if (provenance->spread > 0) number["spread"] = write_quantity(provenance->spread, Quantity::ratio, "%");
  if (!provenance->source.empty()) number["source"] = provenance->source;
  return number;
}

const Provenance* find(const std::map<std::string, Provenance>& all, std::string_view key) {
  const auto found = all.find(std::string(key));
  return found == all.end() ? nullptr : &found->second;
}

Json node_json(const Node& node) {
  Json json{{"name", node.name}};
  if (node.tank) {
    json["tank_pressure"] = write_quantity(node.pressure, Quantity::pressure, "psi");
    json["free_air"] = write_quantity(node.free_air, Quantity::ratio, "%");
  } else {
    json[node.reservoir ? "reservoir_volume" : "volume"] =
        written(node.volume, Quantity::volume, "cm3", find(node.provenance, "volume"));
  }
  if (node.reservoir) {
    json["free_air"] = write_quantity(node.free_air, Quantity::ratio, "%");
    json["height"] = write_quantity(node.height, Quantity::length, "mm");
  }
  if (!node.drains_through.empty()) {
    json["drains_through"] = node.drains_through;
    json["drain_share"] = write_quantity(node.drain_share, Quantity::ratio, "%");
    json["drain_height"] = write_quantity(node.drain_height, Quantity::length, "mm");
  }
  json["at"] = {node.at[0], node.at[1]};
  json["source"] = node.source;
  return json;
}

Json link_json(const Link& link, const Circuit& circuit) {
  Json json{{"name", link.name},
            {"kind", kind_of(link.element)},
            {"from", circuit.nodes[link.from].name},
            {"to", circuit.nodes[link.to].name}};
  for (const ParameterView& p : parameters_of(link.element)) {
    const Provenance* provenance = find(link.provenance, p.key);
    if (!provenance && p.fallback && *p.fallback == p.value) continue;
    json[std::string(p.key)] = written(p.value, p.quantity, p.unit, provenance);
  }
  if (!link.access.empty()) json["access"] = link.access;
  if (link.labour > 0) json["labour"] = write_quantity(link.labour, Quantity::time, "min");
  json["source"] = link.source;
  return json;
}

Json leak_json(const Leak& leak) {
  const char* unit = leak.kind == LeakClass::gap ? "um" : "mm";
  Json json{{"class", word(leak.kind)},
            {"least", write_quantity(leak.least, Quantity::length, unit)},
            {"most", write_quantity(leak.most, Quantity::length, unit)}};
  if (leak.kind == LeakClass::gap) {
    json["width"] = write_quantity(leak.width, Quantity::length, "mm");
    json["length"] = write_quantity(leak.length, Quantity::length, "mm");
  }
  if (leak.kind == LeakClass::lifting_seal) {
    json["opening_pressure"] = write_quantity(leak.opening_pressure, Quantity::pressure, "psi");
    json["full_pressure"] = write_quantity(leak.full_pressure, Quantity::pressure, "psi");
  }
  return json;
}

Json site_json(const Site& site, const Circuit& circuit) {
  Json json{{"name", site.name},
            {"node", circuit.nodes[site.node].name},
            {"to", circuit.nodes[site.to].name},
            {"leaks", Json::array()}};
  for (const Leak& leak : site.leaks) json["leaks"].push_back(leak_json(leak));
  json["access"] = site.access;
  json["labour"] = write_quantity(site.labour, Quantity::time, "min");
  json["source"] = site.source;
  return json;
}

Json starter_json(const StarterSettings& starter) {
  Json json;
  for (const ParameterView& p : parameters_of(starter))
    json[std::string(p.key)] = write_quantity(p.value, p.quantity, p.unit);
  json["source"] = starter.source;
  return json;
}

Json control_json(const ControlSettings& control) {
  Json json{{"sample_time", write_quantity(control.sample_time, Quantity::time, "ms")},
            {"wanted_pressure", Json::array()}};
  for (const auto& [temperature, pressure] : control.wanted_pressure)
    json["wanted_pressure"].push_back({{"oil_temperature", write_quantity(temperature, Quantity::temperature, "degC")},
                                       {"pressure", write_quantity(pressure, Quantity::pressure, "psi")}});
  json["start_duty"] = write_quantity(control.start_duty, Quantity::ratio, "%");
  json["duty_per_pressure"] = write_quantity(control.proportional_gain * 1e6, Quantity::ratio, "%");
  json["integral_time"] = write_quantity(control.integral_time, Quantity::time, "s");
  json["least_duty"] = write_quantity(control.least_duty, Quantity::ratio, "%");
  json["most_duty"] = write_quantity(control.most_duty, Quantity::ratio, "%");
  json["enable_pressure"] = write_quantity(control.enable_pressure, Quantity::pressure, "psi");
  json["sync_time"] = write_quantity(control.sync_time, Quantity::time, "s");
  for (const auto& [speed, pressure] : control.running_pressure)
    json["running_pressure"].push_back({{"speed", write_quantity(speed, Quantity::speed, "rpm")},
                                        {"pressure", write_quantity(pressure, Quantity::pressure, "psi")}});
  json["hold_pressure"] = write_quantity(control.hold_pressure, Quantity::pressure, "psi");
  json["idle_speed"] = write_quantity(control.idle_speed, Quantity::speed, "rpm");
  json["crank_pulse"] = write_quantity(control.crank_pulse, Quantity::time, "ms");
  json["idle_pulse"] = write_quantity(control.idle_pulse, Quantity::time, "ms");
  json["source"] = control.source;
  return json;
}

}  // namespace

std::string circuit_text(const Circuit& circuit) {
  Json json{{"railseep", "circuit"}, {"name", circuit.name}, {"about", circuit.about}, {"oil", circuit.oil}};
  for (const char* list : {"access", "nodes", "links", "sites"}) json[list] = Json::array();
  for (const Access& access : circuit.access)
    json["access"].push_back({{"name", access.name},
                              {"labour", write_quantity(access.labour, Quantity::time, "min")},
                              {"source", access.source}});
  for (const Node& node : circuit.nodes) json["nodes"].push_back(node_json(node));
  for (const Link& link : circuit.links) json["links"].push_back(link_json(link, circuit));
  for (const Site& site : circuit.sites) json["sites"].push_back(site_json(site, circuit));
  for (const Block& block : circuit.blocks)
    json["blocks"].push_back(
        {{"name", block.name}, {"links", block.links}, {"sensor_node", block.sensor_node}, {"source", block.source}});
  json["starter"] = starter_json(circuit.starter);
  json["control"] = control_json(circuit.control);
  if (!circuit.listening.points.empty()) json["listening"] = listening_json(circuit.listening);
  return json.dump(2) + "\n";
}

}  // namespace railseep
