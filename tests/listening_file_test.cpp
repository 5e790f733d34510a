#include <gtest/gtest.h>

#include "circuit/circuit_file.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

std::string refusal(const char* at, const char* value) {
  Json json = read_json(models_folder() + "valley_v8.json");
  json[Json::json_pointer(at)] = Json::parse(value);
  return error_of([&] { parse_circuit(json.dump(), "x.json"); });
}

TEST(Listening, IsWrittenAndReadBack) {
  for (const std::string& path : shipped_circuits()) {
    const Circuit circuit = read_circuit(path);
    ASSERT_FALSE(circuit.listening.points.empty()) << path;
    const Circuit again = parse_circuit(circuit_text(circuit), "again");
    ASSERT_EQ(again.listening.points.size(), circuit.listening.points.size());
    ASSERT_EQ(again.listening.paths.size(), circuit.listening.paths.size());
    EXPECT_EQ(circuit_text(again), circuit_text(circuit));
    for (std::size_t i = 0; i < circuit.listening.paths.size(); ++i) {
      EXPECT_EQ(again.listening.paths[i].muffling, circuit.listening.paths[i].muffling);
      EXPECT_EQ(again.listening.paths[i].distance, circuit.listening.paths[i].distance);
    }
  }
}

// Every place that can leak is heard somewhere, and every number says where it comes from.
TEST(Listening, LeavesNoPlaceUnheard) {
  for (const std::string& path : shipped_circuits()) {
    const Circuit circuit = read_circuit(path);
    for (const Site& site : circuit.sites) {
      int heard = 0;
      for (const ListeningPoint& point : circuit.listening.points)
        heard += circuit.listening.find_path(site.name, site.access, point.name) != nullptr;
      EXPECT_GT(heard, 1) << path << ", " << site.name;
    }
    for (const SoundPath& sound : circuit.listening.paths) EXPECT_FALSE(sound.source.empty());
  }
}

TEST(Listening, OwnPathComesBeforeThatOfTheGroup) {
  const Listening listening{{{"cover", 40, ""}}, {{"group", "cover", 10, 0, 1, ""}, {"seal", "cover", 20, 0, 1, ""}}};
  EXPECT_EQ(listening.find_path("seal", "group", "cover")->loss, 20);
  EXPECT_EQ(listening.find_path("plug", "group", "cover")->loss, 10);
  EXPECT_EQ(listening.find_path("plug", "", "cover"), nullptr);
}

TEST(Listening, ErrorsNamePlaceFoundAndExpected) {
  EXPECT_EQ(refusal("/listening/points/0/room_noise", "\"300 dB\""),
            "x.json, /listening/points/0/room_noise: the sound level is out of range; write 0 dB to 130 dB.");
  EXPECT_EQ(refusal("/listening/paths/0/distance", "\"0 m\""),
            "x.json, /listening/paths/0/distance: the length is out of range; write 10 mm to 20 m.");
  EXPECT_EQ(refusal("/listening/paths/0/loss", "\"-3 dB\""),
            "x.json, /listening/paths/0/loss: the sound level is out of range; write 0 dB to 150 dB.");
  EXPECT_EQ(refusal("/listening/paths/0/to", "\"left covr\""),
            "x.json, /listening/paths/0/to: \"left covr\" is not a listening point; did you mean \"left cover\".");
  EXPECT_EQ(refusal("/listening/paths/0/from", "\"left valve covr\""),
            "x.json, /listening/paths/0/from: \"left valve covr\" is not a site, link or access group; did you mean "
            "\"left valve cover\".");
  EXPECT_NE(refusal("/listening/points/1/name", "\"fill opening\"").find("is used twice"), std::string::npos);
}

}  // namespace
}  // namespace railseep
