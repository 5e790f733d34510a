#pragma once

#include <string>
#include <vector>

namespace railseep {

/// Places that differ in a number or a side alone, told together with their count: "jumper tube seal (6)", "rail end
/// plug (2)". In the order of the first of each.
std::vector<std::string> places_in_short(const std::vector<std::string>& places);

/// "jumper tube seal (6), manifold end plug (2)": the same in one text.
std::string places_text(const std::vector<std::string>& places);

/// What all of them are, by the last word that they share: "seals", else "places".
std::string what_places_are(const std::vector<std::string>& places);

}  // namespace railseep
