// The pictures beside the element pages are those the program draws today.

#include <gtest/gtest.h>

#include <filesystem>
#include <regex>

#include "drawing/element_curves.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {
namespace {

const std::string folder = std::string(RAILSEEP_SOURCE_DIR) + "/sim/circuit/elements/";

/// Text without its numbers, and the numbers.
std::pair<std::string, std::vector<double>> taken_apart(const std::string& text) {
  static const std::regex number("-?[0-9]+\\.?[0-9]*(e-?[0-9]+)?");
  std::pair<std::string, std::vector<double>> parts{std::regex_replace(text, number, "#"), {}};
  for (auto it = std::sregex_iterator(text.begin(), text.end(), number); it != std::sregex_iterator(); ++it)
    parts.second.push_back(std::stod(it->str()));
  return parts;
}

TEST(ElementPictures, AreWhatTheElementsComputeToday) {
  for (const ElementPicture& picture : element_pictures()) {
    ASSERT_TRUE(std::filesystem::exists(folder + picture.file))
        << picture.file << ": write it with: railseep curves sim/circuit/elements";
    const auto [words, numbers] = taken_apart(picture.svg);
    const auto [stored_words, stored] = taken_apart(read_text(folder + picture.file));
    EXPECT_EQ(words, stored_words) << picture.file;
    ASSERT_EQ(numbers.size(), stored.size()) << picture.file;
    for (std::size_t i = 0; i < numbers.size(); ++i)
      ASSERT_NEAR(numbers[i], stored[i], 0.11) << picture.file << ", number " << i;
  }
}

TEST(ElementPictures, EachIsShownOnAPage) {
  std::string pages;
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    if (entry.path().extension() == ".md") pages += read_text(entry.path().string());
  for (const ElementPicture& picture : element_pictures())
    EXPECT_NE(pages.find("(" + picture.file + ")"), std::string::npos) << picture.file;
}

}  // namespace
}  // namespace railseep
