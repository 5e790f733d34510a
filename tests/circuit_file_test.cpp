// Circuit files: read, written and read back; every malformed one is refused with place, found, expected.

#include <gtest/gtest.h>

#include <cstdint>
#include <random>

#include "shipped_circuits.hpp"

namespace railseep {
namespace {

std::vector<double> numbers_of(const Circuit& circuit) {
  std::vector<double> all;
  for (const Node& node : circuit.nodes)
    all.insert(all.end(), {node.volume, node.pressure, node.free_air, node.at[0], node.at[1]});
  for (const Link& link : circuit.links) {
    for (const ParameterView& p : parameters_of(link.element)) all.push_back(p.value);
    for (const auto& [key, provenance] : link.provenance) all.push_back(provenance.spread);
    all.insert(all.end(), {double(link.from), double(link.to), link.labour});
  }
  for (const Site& site : circuit.sites) {
    for (const Leak& leak : site.leaks)
      all.insert(all.end(), {double(leak.kind), leak.least, leak.most, leak.width, leak.length, leak.opening_pressure,
                             leak.full_pressure});
    all.insert(all.end(), {double(site.node), double(site.to), site.labour});
  }
  for (const Access& access : circuit.access) all.push_back(access.labour);
  const ControlSettings& c = circuit.control;
  for (const auto& [temperature, pressure] : c.wanted_pressure) all.insert(all.end(), {temperature, pressure});
  all.insert(all.end(), {c.sample_time, c.start_duty, c.proportional_gain, c.integral_time, c.least_duty, c.most_duty,
                         c.enable_pressure, c.sync_time});
  return all;
}

TEST(CircuitFile, ReadsBackWhatItWrites) {
  for (const std::string& path : shipped_circuits()) {
    SCOPED_TRACE(path);
    const Circuit first = read_circuit(path);
    const std::string second = circuit_text(first);
    const Circuit back = parse_circuit(second, "second generation");
    EXPECT_EQ(circuit_text(back), second);
    EXPECT_EQ(numbers_of(back), numbers_of(first));
    EXPECT_EQ(back.about, first.about);
    for (std::size_t i = 0; i < first.links.size(); ++i) {
      EXPECT_EQ(back.links[i].source, first.links[i].source);
      for (const auto& [key, provenance] : first.links[i].provenance)
        EXPECT_EQ(back.links[i].provenance.at(key).source, provenance.source);
    }
    for (std::size_t i = 0; i < first.sites.size(); ++i) EXPECT_EQ(back.sites[i].access, first.sites[i].access);
  }
}

/// Places of every value below an object or a list, in the file's order.
void collect(const Json& json, const Json::json_pointer& at, std::vector<Json::json_pointer>& places) {
  if (!json.is_structured()) return;
  for (std::size_t i = 0; const auto& [key, value] : json.items()) {
    const Json::json_pointer place = json.is_array() ? at / i++ : at / key;
    places.push_back(place);
    collect(value, place, places);
  }
}

std::vector<Json::json_pointer> places_of(const Json& json) {
  std::vector<Json::json_pointer> places;
  collect(json, Json::json_pointer(), places);
  return places;
}

/// The inline six with its first two sites: every kind of thing that stands in a file, once.
Json sample() {
  Json json = read_json(models_folder() + "inline_six.json");
  Json few = Json::array();
  for (int i = 0; i < 2; ++i) few.push_back(json["sites"][i]);
  json["sites"] = few;
  // Its two first listening points, and what leads there from a whole access group.
  Json& listening = json["listening"];
  Json points = Json::array(), paths = Json::array();
  for (int i = 0; i < 2; ++i) points.push_back(listening["points"][i]);
  for (const Json& path : listening["paths"])
    if (path["from"] == "valve cover" && (path["to"] == points[0]["name"] || path["to"] == points[1]["name"]))
      paths.push_back(path);
  listening["points"] = points, listening["paths"] = paths;
  return json;
}

std::string refusal(const Json& json) {
  return error_of([&] { parse_circuit(json.dump(), "x.json"); });
}

TEST(CircuitFile, SaysWhichKeyIsMissing) {
  const Json whole = sample();
  int required = 0;
  for (const Json::json_pointer& place : places_of(whole)) {
    const Json& parent = whole.at(place.parent_pointer());
    if (!parent.is_object()) continue;
    Json json = whole;
    json[place.parent_pointer()].erase(place.back());
    const std::string message = refusal(json);
    if (message.empty()) continue;  // a key that may be left out
    ++required;
    if (place.back() == "tank_pressure") continue;  // without it the node is a volume, and its other keys are wrong
    const std::string outer = place.parent_pointer().to_string();
    EXPECT_TRUE(message.starts_with("x.json, " + (outer.empty() ? "top level" : outer) + ": \"" + place.back() +
                                    "\" is missing; add "))
        << message;
  }
  EXPECT_GT(required, 100);
}

TEST(CircuitFile, NamesTheNearestKeyForEveryMistypedOne) {
  const Json whole = sample();
  for (const Json::json_pointer& place : places_of(whole)) {
    if (!whole.at(place.parent_pointer()).is_object()) continue;
    if (place.back() == "to" || place.back() == "at" || place.back() == "tank_pressure")
      continue;  // too short to guess; decides the kind of node
    const std::string mistyped = place.back() + "x";
    Json json = whole;
    json[place.parent_pointer()].erase(place.back());
    json[place.parent_pointer() / mistyped] = whole.at(place);
    EXPECT_EQ(refusal(json), "x.json, " + (place.parent_pointer() / mistyped).to_string() + ": the key \"" + mistyped +
                                 "\" is not known here; did you mean \"" + place.back() + "\".");
  }
}

TEST(CircuitFile, RefusesAValueOfTheWrongKindAtItsPlace) {
  const Json whole = sample();
  for (const Json::json_pointer& place : places_of(whole))
    for (const char* wrong : {"null", "[[1]]", "{\"a\": 1}", "false"}) {
      Json json = whole;
      json[place] = Json::parse(wrong);
      const std::string message = refusal(json);
      const bool on_drawing = place.parent_pointer() != Json::json_pointer() &&
                              place.parent_pointer().back() == "at";  // the pair is one value
      EXPECT_TRUE(message.starts_with("x.json, " + (on_drawing ? place.parent_pointer() : place).to_string()))
          << place.to_string() << " = " << wrong << ": " << message;
    }
}

TEST(CircuitFile, RefusesNumbersOutOfRangeAtTheirPlace) {
  const std::pair<const char*, const char*> bad[] = {
      {"/links/0/displacement/spread", "\"400 %\""},
      {"/links/0/drive_ratio", "-1"},
      {"/links/1/lag", "\"0 s\""},
      {"/links/1/labour", "\"-1 min\""},
      {"/links/2/full_pressure", "\"1 psi\""},
      {"/nodes/4/volume", "\"2 m3\""},
      {"/nodes/0/tank_pressure", "\"-2 bar\""},
      {"/nodes/0/free_air", "\"40 %\""},
      {"/sites/0/leaks/0/most", "\"0.1 mm\""},
      {"/sites/0/leaks/0/most", "\"1 m\""},
      {"/sites/0/leaks/1/length", "\"0 mm\""},
      {"/sites/0/leaks/2/full_pressure", "\"100 psi\""},
      {"/control/sample_time", "\"0 ms\""},
      {"/control/most_duty", "\"4 %\""},
      {"/control/start_duty", "2"},
      {"/control/enable_pressure", "\"-1 psi\""},
      {"/control/integral_time", "\"0 s\""},
      {"/access/0/labour", "\"-5 min\""},
      {"/links/0/from", "\"manifolt\""},
      {"/links/0/to", "\"supply\""},
      {"/links/0/access", "\"bonnet\""},
      {"/sites/1/to", "\"manifold\""},
      {"/sites/1/name", "\"jumper tube 1 seal\""},
      {"/sites/1/leaks/1/class", "\"hole\""},
      {"/links/2/name", "\"manifold\""},
      {"/control/wanted_pressure/1/oil_temperature", "\"-5 degC\""},
  };
  for (const auto& [at, value] : bad) {
    Json json = sample();
    json[Json::json_pointer(at)] = Json::parse(value);
    const std::string message = refusal(json);
    const std::string place =
        std::string(at).substr(0, std::string(at) == "/sites/1/leaks/1/class" ? 14 : std::string::npos);
    EXPECT_TRUE(message.starts_with("x.json, " + place)) << at << " = " << value << ": " << message;
    EXPECT_NE(message.find("; "), std::string::npos) << message;
  }
}

TEST(CircuitFile, RefusesTextThatIsNoJson) {
  const std::pair<std::string, std::string> bad[] = {
      {"", "x.json, line 1, column 1: the text ends too early; check for a missing comma, quote or bracket."},
      {"{\"railseep\": \"circuit\",\n \"name\" \"V8\"}",
       "x.json, line 2, column 12: this is not JSON here: '\"'; check for a missing comma, quote or bracket."},
      {"[1, 2]", "x.json, top level: [1,2] is not an object; write { \"key\": value, ... }."},
      {"{\"name\": \"a\", \"name\": \"b\"}",
       "x.json: the key \"name\" stands twice in one object; remove one of the two."},
      {"{\"name\": 1e999}", "x.json: a number is too large; write numbers below 1e308."},
      {std::string(200000, '['),
       "x.json: objects and lists are nested more than 50 deep; check for brackets that do not close."},
  };
  for (const auto& [text, message] : bad)
    EXPECT_EQ(error_of([&, &text = text] { parse_circuit(text, "x.json"); }), message) << text.substr(0, 40);
  EXPECT_NE(error_of([] { read_circuit("/nonexistent/x.json"); }), "");
}

/// The ends of every range as the message tells them.
TEST(CircuitFile, AdvisesNumbersThatItAccepts) {
  for (const Element& kind : each_element())
    for (const ParameterView& p : parameters_of(kind)) {
      Element element = kind;
      const std::string message = error_of([&] { set_parameter(element, p.key, 10 * p.most + 1); }),
                        told = message.substr(message.find("; write ") + 8);
      const std::string least = told.substr(0, told.find(" to ")),
                        most = told.substr(told.find(" to ") + 4, told.size() - told.find(" to ") - 5);
      EXPECT_EQ(error_of([&] { set_parameter(element, p.key, parse_quantity(least, p.quantity)); }), "") << p.key;
      EXPECT_EQ(error_of([&] { set_parameter(element, p.key, parse_quantity(most, p.quantity)); }), "") << p.key;
    }
}

TEST(CircuitFile, RefusesNamesThatCannotBeSeenInOneLine) {
  for (const char* name :
       {"", " ", " rail", "rail ", "\u00a0rail", "man\nifold", "tab\tbed", "del\x7f", "nel\u0085", "\u202eliar",
        "iso\u2066late", "mark\u200e", "line\u2028end", "\ufeffbom", "zero\u200bwidth"}) {
    for (const char* place : {"/nodes/0/name", "/links/0/name", "/sites/0/name", "/access/0/name", "/name"}) {
      Json json = sample();
      json[Json::json_pointer(place)] = name;
      if (std::string(name).empty() && std::string(place) == "/name") continue;  // the schema's business
      const std::string message = refusal(json);
      EXPECT_TRUE(message.starts_with("x.json, " + std::string(place) + ": "))
          << place << " " << name << ": " << message;
      EXPECT_EQ(message.find_first_of("\n\t\x7f"), std::string::npos);
    }
  }
  // Commas, quotes and letters of any script are names.
  for (const char* name : {"manifold, front", "the \"old\" one", "Öl", "масло", "油"}) {
    Json json = sample();
    json["access"].push_back({{"name", name}, {"labour", "1 min"}, {"source", "test"}});
    EXPECT_EQ(refusal(json), "");
  }
}

TEST(CircuitFile, RefusesASecondSensorAndASecondRegulator) {
  for (const char* kind : {"sensor", "regulator"}) {
    Json json = sample();
    Json second;
    for (const Json& link : json["links"])
      if (link["kind"] == kind) second = link;
    second["name"] = "another";
    json["links"].push_back(second);
    const std::string place = "/links/" + std::to_string(json["links"].size() - 1) + "/kind";
    EXPECT_TRUE(refusal(json).starts_with("x.json, " + place + ": this is a second " + kind)) << refusal(json);
  }
}

TEST(CircuitFile, RefusesANodeThatNothingJoins) {
  for (const char* node : {R"({"name": "island", "volume": "1 L", "source": "test"})",
                           R"({"name": "island", "tank_pressure": "0 psi", "source": "test"})"}) {
    Json json = sample();
    json["nodes"].push_back(Json::parse(node));
    const std::string place = "/nodes/" + std::to_string(json["nodes"].size() - 1);
    EXPECT_EQ(refusal(json),
              "x.json, " + place +
                  ": nothing joins \"island\" to another node; add the link that is missing, or leave the node out.");
  }
}

TEST(CircuitFile, RefusesAPumpWhoseEndsAreSwapped) {
  for (const std::string& path : shipped_circuits()) {
    Json json = read_json(path);
    for (std::size_t i = 0; i < json["links"].size(); ++i) {
      if (json["links"][i]["kind"] != "pump") continue;
      std::swap(json["links"][i]["from"], json["links"][i]["to"]);
      const std::string message = refusal(json);
      EXPECT_TRUE(message.starts_with("x.json, /links/" + std::to_string(i) + "/from: the pump draws from")) << message;
    }
  }
}

// A thousand keys are read at once; what has more is no file of this program, and finding keys in it would take ever
// longer.
TEST(CircuitFile, RefusesAnObjectOfMoreKeysThanAnyFileHas) {
  std::string text = "{";
  for (int i = 0; i < 200000; ++i) text += (i > 0 ? ", \"" : "\"") + std::to_string(i) + "\": 1";
  EXPECT_EQ(error_of([&] { parse_circuit(text + "}", "x.json"); }),
            "x.json: an object has more than 1000 keys; check that it is the right file; no file of this program has "
            "so many.");
}

TEST(CircuitFile, RefusesAMegabyteOfDigitsAsANumber) {
  Json json = sample();
  json["links"][2]["diameter"] = std::string(1 << 20, '1') + " mm";
  EXPECT_EQ(refusal(json),
            "x.json, /links/2/diameter: \"11111111111111111111\"... is too long for a number; write a length such as "
            "\"0.8 mm\".");
}

// Seeds are fixed: a failure can be had again.
TEST(CircuitFile, DamagedTextNeverGivesAnythingButAnError) {
  const std::string whole = read_text(models_folder() + "inline_six.json");
  const std::string pieces[] = {"\"", "{",     "}",       "[",    "]",        ",",  ":", "null",
                                "-1", "1e308", "\\u0000", "\xff", "\"0 mm\"", "/*", " "};
  std::mt19937 random(1);
  const auto below = [&](std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(random); };
  int refused = 0;
  for (int i = 0; i < 3000; ++i) {
    std::string text = whole;
    for (std::size_t damage = 1 + below(3); damage > 0; --damage) {
      const std::size_t at = below(text.size());
      switch (below(4)) {
        case 0:
          text[at] = static_cast<char>(below(256));
          break;
        case 1:
          text.erase(at, 1 + below(20));
          break;
        case 2:
          text.insert(at, pieces[below(std::size(pieces))]);
          break;
        case 3:
          text.insert(at, text, below(text.size()), 1 + below(40));
          break;
      }
    }
    const std::string message = error_of([&] { parse_circuit(text, "x.json"); });
    refused += !message.empty();
    EXPECT_EQ(message.find("the schema of circuit files"), std::string::npos) << "only the schema saw it: " << message;
  }
  EXPECT_GT(refused, 2000);
}

TEST(CircuitFile, SwappedValuesNeverGiveAnythingButAnError) {
  const Json whole = sample();
  const std::vector<Json::json_pointer> places = places_of(whole);
  std::mt19937 random(2);
  const auto any = [&]() -> const Json::json_pointer& {
    return places[std::uniform_int_distribution<std::size_t>(0, places.size() - 1)(random)];
  };
  int refused = 0;
  for (int i = 0; i < 1000; ++i) {
    Json json = whole;
    json[any()] = whole.at(any());
    const std::string message = refusal(json);
    refused += !message.empty();
    EXPECT_EQ(message.find("the schema of circuit files"), std::string::npos) << "only the schema saw it: " << message;
  }
  EXPECT_GT(refused, 300);
}

}  // namespace
}  // namespace railseep
