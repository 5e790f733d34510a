// models/circuit.schema.json says what the reader of circuit files says: keys, words, units, and what is refused.

#include "circuit/circuit_schema.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <map>
#include <regex>
#include <set>

#include "circuit/schema_check.hpp"
#include "fluid/grade.hpp"
#include "quantity/whole_file.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

const Json& schema() {
  static const Json json = read_json(models_folder() + "circuit.schema.json");
  return json;
}
const Json& definition(const std::string& name) { return schema().at("definitions").at(name); }

TEST(CircuitSchema, AllowsEveryShippedCircuit) {
  for (const std::string& path : shipped_circuits())
    EXPECT_EQ(error_of([&] { check_against_schema(read_json(path)); }), "") << path;
}

// The file is for editors and readers; RAILSEEP_WRITE_SCHEMA=1 in the environment writes it anew.
TEST(CircuitSchema, OfTheFileIsThatOfTheParameterTables) {
  if (std::getenv("RAILSEEP_WRITE_SCHEMA"))
    write_text(models_folder() + "circuit.schema.json", circuit_schema().dump(1) + "\n", true);
  const auto sorted = [](const Json& json) { return nlohmann::json::parse(json.dump()); };
  EXPECT_EQ(sorted(read_json(models_folder() + "circuit.schema.json")), sorted(circuit_schema()));
}

TEST(CircuitSchema, KnowsTheOilGradesOfTheProgram) {
  std::vector<std::string> names;
  for (const OilGrade& grade : oil_grades()) names.push_back(grade.name);
  EXPECT_EQ(schema().at("properties").at("oil").at("enum").get<std::vector<std::string>>(), names);
}

/// The pattern of a quantity's text.
std::string pattern(const std::string& quantity) {
  const Json& found = definition(quantity);
  return (found.contains("pattern") ? found : found.at("anyOf").at(1)).at("pattern").get<std::string>();
}

TEST(CircuitSchema, TakesATextExactlyWhereTheProgramReadsIt) {
  std::vector<std::string> symbols{"C",  "°C", "F",  "°F",     "µm",     "μm", "µs",     "μs",
                                   "cc", "l",  "ml", "cc/rev", "ml/rev", "Ω",  "furlong"};
  for (const Unit& unit : units()) symbols.emplace_back(unit.symbol);
  std::vector<std::string> texts{"", "5", "-0.5", "5 5", "nonsense", "inf", "nan mm", "0x1p3 mm"};
  for (const std::string& unit : symbols)
    for (const char* number :
         {"1.5 ", "1.5", "+2 ", "-2e3 ", ".5 ", "5. ", " 1E-3\t", "1,5 ", "", "1 1 ", "+-1 ", "- 1 "})
      texts.push_back(number + unit);

  int checked = 0;
  for (const Element& element : each_element())
    for (const ParameterView& p : parameters_of(element)) checked |= 1 << static_cast<int>(p.quantity);
  checked |= 1 << static_cast<int>(Quantity::volume) | 1 << static_cast<int>(Quantity::level);
  for (int i = 0; i <= static_cast<int>(Quantity::level); ++i) {
    if (!(checked & 1 << i)) continue;
    const auto quantity = static_cast<Quantity>(i);
    const std::regex allowed(pattern(std::string(info(quantity).name)));
    for (const std::string& text : texts) {
      const bool read = error_of([&] { parse_quantity(text, quantity); }).empty();
      EXPECT_EQ(std::regex_search(text, allowed), read) << info(quantity).name << ": \"" << text << "\"";
    }
  }
}

/// A shipped circuit with one thing wrong in it, and what the reader says.
struct BadFile {
  const char* at;     // place in valley_v8.json
  const char* value;  // what stands there instead, as JSON; empty: nothing stands there
  const char* message;
};

const BadFile bad_files[] = {
    {"/links/3/diameter", "\"0.8\"", "/links/3/diameter: \"0.8\" has no unit; write a length such as \"0.8 mm\"."},
    {"/links/3/diameter", "0.8", "/links/3/diameter: 0.8 has no unit; write a length such as \"0.8 mm\"."},
    {"/links/3/diameter", "\"9 psi\"",
     "/links/3/diameter: \"9 psi\" is a pressure; write a length such as \"0.8 mm\"."},
    {"/links/3/diameter", "true",
     "/links/3/diameter: true is not a number with its unit; write a length such as \"0.8 mm\"."},
    {"/links/1/inductance", "20", "/links/1/inductance: 20 has no unit; write an inductance such as \"20 mH\"."},
    {"/links/3/diametre", "\"9 mm\"",
     "/links/3/diametre: the key \"diametre\" is not known here; did you mean \"diameter\"."},
    {"/links/3/diameter", "", "/links/3: \"diameter\" is missing; add \"diameter\": \"0.8 mm\"."},
    {"/links/3/kind", "\"pasage\"", "/links/3/kind: \"pasage\" is not a kind of link; did you mean \"passage\"."},
    {"/links/0/displacement/sorce", "\"assumed\"",
     "/links/0/displacement/sorce: the key \"sorce\" is not known here; did you mean \"source\"."},
    {"/links/0/displacement/value", "{\"value\": \"7 cm3/rev\"}",
     "/links/0/displacement/value: {\"value\":\"7 cm3/rev\"} is not a number with its unit; write a displacement such "
     "as \"7.2 cm3/rev\"."},
    {"/sites/0/leaks/0/class", "\"crack\"",
     "/sites/0/leaks/0/class: \"crack\" is not a leak class; write one of \"hole\", \"gap\", \"lifting seal\"."},
    {"/sites/0/leaks", "[]", "/sites/0/leaks: the list is empty; name at least one way it can leak."},
    {"/sites/0/leaks", "\"hole\"", "/sites/0/leaks: \"hole\" is not a list; write [ ... ]."},
    {"/nodes/4/at", "[0.2]", "/nodes/4/at: [0.2] is not a place on the drawing; write two numbers, [x, y]."},
    {"/nodes/4/volume", "", "/nodes/4: \"volume\" is missing; add \"volume\": \"0.4 L\"."},
    {"/nodes/0/volume", "\"1 L\"",
     "/nodes/0/volume: the key \"volume\" is not known here; known keys are \"name\", \"tank_pressure\", "
     "\"reservoir_volume\", \"free_air\", \"at\", \"source\"."},
    {"/name", "", "top level: \"name\" is missing; add \"name\": a text in quotes."},
    {"/nme", "\"V8\"", "/nme: the key \"nme\" is not known here; did you mean \"name\"."},
    {"/railseep", "\"job\"", "/railseep: this is not a circuit file; write \"railseep\": \"circuit\"."},
    {"/oil", "\"15W-50\"", "/oil: \"15W-50\" is not known; the grades are 5W-40, 10W-30, 10W-40, 15W-40."},
    {"/nodes", "[]", "/nodes: the list is empty; name at least two nodes."},
    {"/control/wanted_pressure", "[]",
     "/control/wanted_pressure: the list is empty; give at least one oil temperature and pressure."},
    {"/control/most_duty", "", "/control: \"most_duty\" is missing; add \"most_duty\": \"65 %\"."},
    {"/control/least_duty", "", "/control: \"least_duty\" is missing; add \"least_duty\": \"65 %\"."},
    {"/listening/points/0/room_noise", "48",
     "/listening/points/0/room_noise: 48 has no unit; write a sound level such as \"55 dB\"."},
    {"/listening/points/0/name", "\"\"",
     "/listening/points/0/name: \"\" cannot be a name; write one that is not empty and has no \": \" in it."},
    {"/listening/paths/0/mufling", "\"2 dB\"",
     "/listening/paths/0/mufling: the key \"mufling\" is not known here; did you mean \"muffling\"."},
    {"/listening/paths/0/loss", "", "/listening/paths/0: \"loss\" is missing; add \"loss\": \"55 dB\"."},
    {"/listening/points", "", "/listening: \"points\" is missing; add \"points\": [ ... ]."},
    {"/nodes/4/name", "\"left: rail\"",
     "/nodes/4/name: \"left: rail\" cannot be a name; write one that is not empty and has no \": \" in it."},
};

Json with(const char* at, const char* value) {
  Json json = read_json(models_folder() + "valley_v8.json");
  const Json::json_pointer place(at);
  if (*value)
    json[place] = Json::parse(value);
  else
    json[place.parent_pointer()].erase(place.back());
  return json;
}

TEST(CircuitSchema, RefusesWhatTheReaderRefusesWithPlaceFoundAndExpected) {
  for (const BadFile& bad : bad_files) {
    const Json json = with(bad.at, bad.value);
    EXPECT_NE(error_of([&] { check_against_schema(json); }), "") << bad.at << " " << bad.value;
    EXPECT_EQ(error_of([&] { parse_circuit(json.dump(), "models/x.json"); }),
              std::string("models/x.json, ") + bad.message)
        << bad.at << " " << bad.value;
  }
}

TEST(CircuitSchema, NamesThePlaceInItsOwnMessages) {
  const std::string text = error_of([] { check_against_schema(with("/links/3/diameter", "\"0.8\"")); });
  EXPECT_TRUE(text.starts_with("/links/3/diameter: ")) << text;
  EXPECT_NE(text.find("models/circuit.schema.json"), std::string::npos) << text;
}

}  // namespace
}  // namespace railseep
