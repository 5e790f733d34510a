#include "circuit/circuit_schema.hpp"

#include "circuit/circuit.hpp"
#include "circuit/circuit_schema_frame.hpp"

namespace railseep {

namespace {

Json reference(const std::string& definition) { return {{"$ref", "#/definitions/" + definition}}; }

/// A key whose value another definition describes, with what this one means.
Json described(const std::string& definition, std::string_view meaning) {
  return {{"description", meaning}, {"allOf", Json::array({reference(definition)})}};
}

/// The shortest text that reads back to the same number, in its usual unit where that is as short: "60 degC".
std::string shortest_text(double value, Quantity quantity, std::string_view usual_unit) {
  std::string shortest = write_quantity(value, quantity, usual_unit);
  const auto consider = [&](std::string_view unit) {
    const std::string text = format_quantity(value, quantity, unit);
    if (parse_quantity(text, quantity) == value && text.size() < shortest.size()) shortest = text;
  };
  consider(usual_unit);
  for (const Unit& unit : units())
    if (unit.quantity == quantity) consider(unit.symbol);
  return shortest;
}

/// A number of an element: as text with its unit, or as an object with its spread and source beside it.
Json property_of(const ParameterView& p, const std::string& definition) {
  Json property = described(definition, p.meaning);
  if (!p.fallback) return property;
  if (p.quantity == Quantity::ratio)
    property["default"] = *p.fallback;
  else
    property["default"] = shortest_text(*p.fallback, p.quantity, p.unit);
  return property;
}

std::string name_of(Quantity quantity) { return std::string(info(quantity).name); }

/// "length number": the text of a length, or an object with its spread and source.
Json number_definition(Quantity quantity) {
  const std::string name = name_of(quantity);
  const bool vowel = name.find_first_of("aeiou") == 0;
  Json spread = reference("ratio");
  spread["title"] = "one standard deviation of ln(value)";
  const Json object{{"type", "object"},
                    {"additionalProperties", false},
                    {"required", {"value"}},
                    {"properties", {{"value", reference(name)}, {"spread", spread}, {"source", reference("source")}}}};
  return {{"title",
           (vowel ? "An " : "A ") + name + "; as an object it also says how far it may be off and where it comes from"},
          {"anyOf", {reference(name), object}}};
}

Json link_definition(const Element& element) {
  const std::string kind(kind_of(element));
  Json node = reference("name"), to = node;
  node["description"] = "node the flow is counted from", to["description"] = "node the flow is counted to";
  Json labour = described("time", "work once the access is open");
  labour["default"] = "0 min";
  Json required{"name", "kind", "from", "to"};
  Json properties{
      {"name", reference("name")},
      {"kind", {{"const", kind}}},
      {"from", node},
      {"to", to},
      {"access", {{"type", "string"}, {"description", "group under \"access\" that must be opened to reach it"}}},
      {"labour", labour},
      {"source", reference("source")}};
  for (const ParameterView& p : parameters_of(element)) {
    properties[std::string(p.key)] = property_of(p, name_of(p.quantity) + " number");
    if (!p.fallback) required.push_back(p.key);
  }
  required.push_back("source");
  return {{"title", kind}, {"additionalProperties", false}, {"required", required}, {"properties", properties}};
}

Json starter_definition() {
  Json properties = Json::object();
  for (const ParameterView& p : parameters_of(StarterSettings{}))
    properties[std::string(p.key)] = property_of(p, name_of(p.quantity));
  properties["source"] = reference("source");
  return {{"title", "Starter and battery"},
          {"type", "object"},
          {"additionalProperties", false},
          {"required", {"source"}},
          {"properties", properties}};
}

}  // namespace

Json circuit_schema() {
  Json schema = Json::parse(circuit_schema_frame);
  Json &definitions = schema["definitions"], kinds = Json::array(), choices = Json::array();
  for (const Element& element : each_element()) {
    const std::string kind(kind_of(element)), definition = kind + " link";
    definitions[definition] = link_definition(element);
    kinds.push_back(kind);
    choices.push_back({{"if", {{"properties", {{"kind", {{"const", kind}}}}}}}, {"then", reference(definition)}});
    for (const ParameterView& p : parameters_of(element))
      definitions[name_of(p.quantity) + " number"] = number_definition(p.quantity);
  }
  definitions["link"] = {
      {"type", "object"}, {"required", {"kind"}}, {"properties", {{"kind", {{"enum", kinds}}}}}, {"allOf", choices}};
  definitions["starter"] = starter_definition();
  return schema;
}

}  // namespace railseep
