#include "circuit/circuit_fields.hpp"

#include <algorithm>

#include "quantity/error.hpp"

namespace railseep {

void refuse_word(const std::string& place, const std::string& found, const std::vector<std::string>& known,
                 const std::string& what) {
  const std::string near = nearest_word(found, known);
  std::string listed;
  for (const std::string& name : known) listed += (listed.empty() ? "\"" : ", \"") + name + "\"";
  throw Error(place, "\"" + found + "\" is not a " + what,
              near.empty() ? "write one of " + listed : "did you mean \"" + near + "\"");
}

Element element_of_kind(const std::string& kind, const std::string& place) {
  static const std::vector<Element> kinds{Hole{},     Gap{},       LiftingSeal{}, Passage{},  CheckValve{},
                                          Pump{},     Regulator{}, Sensor{},      Injector{}, Screen{},
                                          LubePump{}, Line{},      StickingSeal{}};
  std::vector<std::string> known;
  for (const Element& element : kinds) {
    if (kind == kind_of(element)) return element;
    known.emplace_back(kind_of(element));
  }
  refuse_word(place, kind, known, "kind of link");
}

void set_checked(Element& element, std::string_view key, double value, const std::string& place) {
  try {
    set_parameter(element, key, value);
  } catch (const Error& error) {
    throw Error(place, error.found(), error.expected());
  }
}

void refuse_unless_rising(double low, double high, const std::string& place) {
  if (!(high > low))
    throw Error(place, "it is fully open before it begins to open",
                "write a pressure above the one at which it begins");
}

namespace {

// Characters that are not seen or that turn what stands around them (Unicode: direction marks and overrides, isolates,
// separators, zero width), in UTF-8.
constexpr std::string_view unseen[] = {"\xD8\x9C",     "\xE2\x80\x8B", "\xE2\x80\x8E", "\xE2\x80\x8F",
                                       "\xE2\x80\xA8", "\xE2\x80\xA9", "\xE2\x80\xAA", "\xE2\x80\xAB",
                                       "\xE2\x80\xAC", "\xE2\x80\xAD", "\xE2\x80\xAE", "\xE2\x81\xA6",
                                       "\xE2\x81\xA7", "\xE2\x81\xA8", "\xE2\x81\xA9", "\xEF\xBB\xBF"};

bool has_control_character(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const unsigned char c = static_cast<unsigned char>(text[i]),
                        next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1]) : 0;
    if (c < 0x20 || c == 0x7f || (c == 0xC2 && next >= 0x80 && next < 0xA0)) return true;
  }
  return std::ranges::any_of(
      unseen, [&](std::string_view character) { return text.find(character) != std::string_view::npos; });
}

/// At either end, the blank that does not break lines among them.
bool has_blank_end(std::string_view text) {
  constexpr std::string_view hard_blank = "\xC2\xA0";
  return text.starts_with(' ') || text.ends_with(' ') || text.starts_with(hard_blank) || text.ends_with(hard_blank);
}

}  // namespace

std::string read_line(JsonFields& fields, const char* key) {
  const std::string text = fields.text(key);
  if (has_control_character(text))
    throw Error(fields.place_of(key), "the text has a control character in it",
                "write it in one line of plain letters");
  if (has_blank_end(text))
    throw Error(fields.place_of(key), "\"" + text + "\" begins or ends with a blank", "leave that out");
  return text;
}

std::string read_name(JsonFields& fields) {
  const std::string name = read_line(fields, "name");
  if (name.empty() || name.find(": ") != std::string::npos)
    throw Error(fields.place_of("name"), "\"" + name + "\" cannot be a name",
                "write one that is not empty and has no \": \" in it");
  return name;
}

double read_labour(JsonFields& fields, std::optional<double> fallback) {
  const double labour = fields.quantity("labour", Quantity::time, fallback);
  if (labour < 0) throw Error(fields.place_of("labour"), "the time is below 0", "write a time such as \"25 min\"");
  return labour;
}

int node_named(JsonFields& fields, const char* key, const Circuit& circuit) {
  const std::string name = fields.text(key);
  try {
    return circuit.find_node(name);
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

}  // namespace railseep
