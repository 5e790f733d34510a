#include "procedure/coil_test.hpp"

#include <gtest/gtest.h>

#include "quantity/error.hpp"
#include "reference_table.hpp"

namespace railseep {
namespace {

CoilWinding bare() {
  CoilWinding coil;
  coil.lead_resistance = 0;
  return coil;
}

TEST(CoilTest, ResistanceFollowsCopper) {
  for (const ReferenceRow& row : reference_table("copper_coil.csv"))
    EXPECT_NEAR(bare().resistance_at(row["temperature"] + 273.15) / 8, row["ratio"], 0.5e-5 + 1e-12)
        << row["temperature"];
}

// 0.01 W instead of 10 W: a thousandth of the table's rise, so that the resistance hardly changes.
TEST(CoilTest, WarmsAsOneLump) {
  CoilSchedule schedule;
  schedule.voltage = std::sqrt(0.01 * 8);
  schedule.off = 0, schedule.pulses = 1;
  for (const ReferenceRow& row : reference_table("coil_lump.csv")) {
    schedule.on = row["time"];
    EXPECT_NEAR((coil_test(bare(), schedule).hottest - 293.15) * 1000 / row["rise"], 1, 5e-4) << row["time"];
  }
}

// 8 ohm at 20 degC on 8 V, 8 K/W: settles at 72.972206 degC, 9.665446 ohm (row 10g, computed).
TEST(CoilTest, SettlesWhereHeatInIsHeatOut) {
  CoilSchedule schedule;
  schedule.voltage = 8, schedule.on = 3600, schedule.off = 0, schedule.pulses = 1;
  const CoilResult result = coil_test(bare(), schedule);
  EXPECT_NEAR(result.hottest - 273.15, 72.972206, 1e-5);
  EXPECT_NEAR(result.trace.find(winding_resistance).value.back(), 9.665446, 1e-6);
  EXPECT_FALSE(time_to_limit(bare(), schedule).has_value());
}

TEST(CoilTest, ShortPulsesStayCoolerThanOneLongOne) {
  CoilSchedule pulses;
  CoilSchedule kept_on = pulses;
  kept_on.on = 15, kept_on.off = 0, kept_on.pulses = 1;
  EXPECT_LT(coil_test({}, pulses).hottest, coil_test({}, kept_on).hottest);
  EXPECT_FALSE(coil_test({}, pulses).too_hot);
  EXPECT_TRUE(coil_test({}, kept_on).too_hot);  // longer than 10 s at one go, though it is not hot yet
}

TEST(CoilTest, ToolIsGentlerThanABattery) {
  CoilSchedule battery, tool;
  tool.duty = tool_duty;
  EXPECT_LT(coil_test({}, tool).hottest, coil_test({}, battery).hottest);
}

TEST(CoilTest, HotEngineReachesTheInsulationsLimitSooner) {
  CoilSchedule schedule;
  schedule.voltage = 24;
  const auto cold = time_to_limit({}, schedule);
  schedule.ambient = 273.15 + 90;
  const auto hot = time_to_limit({}, schedule);
  ASSERT_TRUE(cold && hot);
  EXPECT_LT(*hot, 0.7 * *cold);
}

// IEC 60085:2007 (from memory): 105, 120, 130, 155, 180, 200, 220 degC.
TEST(CoilTest, KnowsTheInsulationClasses) {
  const double limits[] = {105, 120, 130, 155, 180, 200, 220};
  ASSERT_EQ(insulation_classes().size(), std::size(limits));
  for (std::size_t i = 0; i < std::size(limits); ++i) {
    EXPECT_NEAR(insulation_classes()[i].limit - 273.15, limits[i], 1e-9);
    EXPECT_TRUE(insulation_classes()[i].name.starts_with(std::to_string(static_cast<int>(limits[i]))));
  }
  EXPECT_THROW(find_insulation_class("F"), Error);
}

TEST(CoilTest, RefusesAScheduleOutOfRange) {
  CoilSchedule schedule;
  schedule.duty = 1.2;
  EXPECT_THROW(coil_test({}, schedule), Error);
  schedule = {};
  schedule.pulses = 0;
  EXPECT_THROW(coil_test({}, schedule), Error);
}

}  // namespace
}  // namespace railseep
