#include "reference_table.hpp"

#include <gtest/gtest.h>

using namespace railseep;

namespace {

std::string message_of(const auto& action) {
  try {
    action();
  } catch (const std::runtime_error& error) {
    return error.what();
  }
  return "nothing thrown";
}

}  // namespace

TEST(ReferenceTable, FindsCellsByColumnName) {
  const auto rows = parse_reference_table("t", "# title\n# mm\nname,x,y\nfirst,1,-2.5e-3\nsecond,2,4\n");
  ASSERT_EQ(rows.size(), 2u);
  EXPECT_EQ(rows[0].text("name"), "first");
  EXPECT_EQ(rows[0]["y"], -2.5e-3);
  EXPECT_EQ(rows[1]["x"], 2);
}

TEST(ReferenceTable, SaysWhatIsWrongWithTheFile) {
  EXPECT_NE(message_of([] { reference_table("absent.csv"); }).find("/tests/reference/absent.csv"), std::string::npos);
  EXPECT_EQ(message_of([] { parse_reference_table("t", "# title\nx,y\n"); }), "t: there are no rows");
  EXPECT_EQ(message_of([] { parse_reference_table("t", "x,y\n1,2\n3\n"); }), "t, line 3: 1 cells under 2 columns");
  const auto rows = parse_reference_table("t", "x,y\n1,2.x\n");
  EXPECT_EQ(message_of([&] { rows[0]["z"]; }), "t, line 2: there is no column \"z\"");
  EXPECT_EQ(message_of([&] { rows[0]["y"]; }), "t, line 2, column y: \"2.x\" is not a number");
}
