#include "circuit/place_names.hpp"

#include <algorithm>
#include <array>
#include <functional>
#include <sstream>
#include <string_view>

namespace railseep {

namespace {

bool is_number(std::string_view word) {
  return !word.empty() && std::ranges::all_of(word, [](char c) { return c >= '0' && c <= '9'; });
}

bool is_side(std::string_view word) {
  constexpr std::array<std::string_view, 8> sides{"left", "right", "front", "rear", "top", "bottom", "upper", "lower"};
  return std::ranges::find(sides, word) != sides.end();
}

/// The name without the words that are left out.
std::string without(const std::string& name, const std::function<bool(std::string_view)>& left_out) {
  std::istringstream words(name);
  std::string text, word;
  while (words >> word)
    if (!left_out(word)) text += (text.empty() ? "" : " ") + word;
  return text.empty() ? name : text;
}

/// The words of one name that another has too: "left rail end plug" of left rail front and left rail rear end plug.
std::string common(const std::string& name, const std::string& other) {
  const std::string padded = " " + other + " ";
  return without(
      name, [&](std::string_view word) { return padded.find(" " + std::string(word) + " ") == std::string::npos; });
}

struct Together {
  std::string name;
  std::size_t count;
};

/// Names that are the same without some words stand together under the words they share; the others keep theirs.
std::vector<Together> joined(const std::vector<Together>& all, const std::function<bool(std::string_view)>& left_out) {
  std::vector<Together> now;
  std::vector<std::string> bare;  // one each
  for (const Together& one : all) {
    const std::string name = without(one.name, left_out);
    const auto known = std::ranges::find(bare, name);
    if (known == bare.end()) {
      now.push_back(one), bare.push_back(name);
    } else {
      Together& same = now[static_cast<std::size_t>(known - bare.begin())];
      same.name = common(same.name, one.name), same.count += one.count;
    }
  }
  return now;
}

}  // namespace

std::vector<std::string> places_in_short(const std::vector<std::string>& places) {
  std::vector<Together> all;
  for (const std::string& place : places) all.push_back({place, 1});
  all = joined(joined(all, is_number), is_side);
  std::vector<std::string> texts;
  for (const Together& one : all)
    texts.push_back(one.name + (one.count > 1 ? " (" + std::to_string(one.count) + ")" : ""));
  return texts;
}

std::string places_text(const std::vector<std::string>& places) {
  std::string text;
  for (const std::string& one : places_in_short(places)) text += (text.empty() ? "" : ", ") + one;
  return text;
}

std::string what_places_are(const std::vector<std::string>& places) {
  const auto last_word = [](const std::string& name) { return name.substr(name.rfind(' ') + 1); };
  for (const std::string& place : places)
    if (last_word(place) != last_word(places.front())) return "places";
  return places.empty() ? "places" : last_word(places.front()) + "s";
}

}  // namespace railseep
