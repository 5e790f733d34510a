#include "circuit/place_names.hpp"

#include <gtest/gtest.h>

namespace railseep {
namespace {

TEST(PlaceNames, NumbersAndSidesAreCountedAndTheRestKeepsItsName) {
  EXPECT_EQ(places_text({"jumper tube 1 seal", "jumper tube 2 seal", "manifold front end plug",
                         "manifold rear end plug", "sensor port seal"}),
            "jumper tube seal (2), manifold end plug (2), sensor port seal");
  EXPECT_EQ(places_text({"left rail front end plug", "right injector 3 top seal"}),
            "left rail front end plug, right injector 3 top seal");
  EXPECT_EQ(places_text({"left rail front end plug", "left rail rear end plug", "right rail front end plug"}),
            "rail end plug (3)");
}

TEST(PlaceNames, ASideThatAllShareIsKept) {
  EXPECT_EQ(places_text({"left rail front end plug", "left rail rear end plug", "left injector 1 top seal",
                         "left injector 2 top seal"}),
            "left rail end plug (2), left injector top seal (2)");
}

TEST(PlaceNames, SealsAreCalledSealsAndAMixtureIsCalledPlaces) {
  EXPECT_EQ(what_places_are({"jumper tube 1 seal", "injector 2 top seal"}), "seals");
  EXPECT_EQ(what_places_are({"jumper tube 1 seal", "manifold rear end plug"}), "places");
}

}  // namespace
}  // namespace railseep
