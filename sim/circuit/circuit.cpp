#include "circuit/circuit.hpp"

#include "quantity/error.hpp"

namespace railseep {

std::string_view word(LeakClass leak) {
  switch (leak) {
    case LeakClass::hole:
      return "hole";
    case LeakClass::gap:
      return "gap";
    case LeakClass::lifting_seal:
      return "lifting seal";
  }
  return "";
}

namespace {

template <class Named>
int find_named(const std::vector<Named>& all, std::string_view wanted, const char* what) {
  for (std::size_t i = 0; i < all.size(); ++i)
    if (all[i].name == wanted) return static_cast<int>(i);
  std::vector<std::string> names;
  for (const Named& one : all) names.push_back(one.name);
  std::string listed;
  for (const std::string& name : names) listed += (listed.empty() ? "\"" : ", \"") + name + "\"";
  const std::string near = nearest_word(wanted, names);
  throw Error("", "there is no " + std::string(what) + " \"" + std::string(wanted) + "\"",
              near.empty() ? "it may be one of " + listed : "did you mean \"" + near + "\"");
}

}  // namespace

int Circuit::find_node(std::string_view wanted) const { return find_named(nodes, wanted, "node"); }
int Circuit::find_link(std::string_view wanted) const { return find_named(links, wanted, "link"); }
int Circuit::find_site(std::string_view wanted) const { return find_named(sites, wanted, "site"); }

std::string_view kind_of(const Element& element) {
  return std::visit([](const auto& e) { return std::decay_t<decltype(e)>::kind; }, element);
}

std::vector<Element> each_element() {
  return []<std::size_t... i>(std::index_sequence<i...>) {
    return std::vector<Element>{Element(std::variant_alternative_t<i, Element>())...};
  }
  (std::make_index_sequence<std::variant_size_v<Element>>());
}

namespace {

template <class E>
std::vector<ParameterView> views_of(const E& e) {
  std::vector<ParameterView> views;
  for (const auto& p : e.parameters())
    views.push_back({p.key, p.quantity, p.least, p.most, p.unit, p.meaning, p.fallback, e.*p.member});
  return views;
}

template <class E>
void set_number(E& e, std::string_view key, double value) {
  std::vector<std::string> keys;
  for (const auto& p : e.parameters()) {
    keys.emplace_back(p.key);
    if (p.key != key) continue;
    e.*p.member = within_range(value, {p.quantity, p.least, p.most, p.unit}, std::string(key));
    return;
  }
  const std::string near = nearest_word(key, keys);
  throw Error("", "a " + std::string(e.kind) + " has no \"" + std::string(key) + "\"",
              near.empty() ? "look at the schema" : "did you mean \"" + near + "\"");
}

double number_of(const std::vector<ParameterView>& all, std::string_view key, std::string_view kind) {
  for (const ParameterView& p : all)
    if (p.key == key) return p.value;
  throw Error("", "a " + std::string(kind) + " has no \"" + std::string(key) + "\"", "look at the schema");
}

}  // namespace

std::vector<ParameterView> parameters_of(const Element& element) {
  return std::visit([](const auto& e) { return views_of(e); }, element);
}
std::vector<ParameterView> parameters_of(const StarterSettings& starter) { return views_of(starter); }

void set_parameter(Element& element, std::string_view key, double value) {
  std::visit([&](auto& e) { set_number(e, key, value); }, element);
}
void set_parameter(StarterSettings& starter, std::string_view key, double value) { set_number(starter, key, value); }
void set_parameter(EngineState& engine, std::string_view key, double value) { set_number(engine, key, value); }

double get_parameter(const Element& element, std::string_view key) {
  return number_of(parameters_of(element), key, kind_of(element));
}
double get_parameter(const EngineState& engine, std::string_view key) {
  return number_of(views_of(engine), key, engine.kind);
}

}  // namespace railseep
