// The one table of channels: every kind has its row, files and messages say what the table says.

#include <gtest/gtest.h>

#include <set>

#include "channel/channel_kind.hpp"
#include "evidence/reading.hpp"
#include "log/header_reading.hpp"
#include "procedure/engine_run.hpp"
#include "quantity/json_fields.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

TEST(Channels, HaveOneRowAKind) {
  std::set<ChannelKind> kinds;
  std::set<std::string_view> names;
  for (const ChannelRow& row : channel_rows) {
    EXPECT_TRUE(kinds.insert(row.kind).second) << row.name;
    EXPECT_TRUE(names.insert(row.name).second) << row.name;
  }
  // `unknown` is the last enumerator: there are as many rows as kinds.
  EXPECT_EQ(channel_rows.size(), static_cast<std::size_t>(ChannelKind::unknown) + 1);
}

TEST(Channels, AreThoseOfTheJobsSchema) {
  const Json schema = read_json(std::string(RAILSEEP_SOURCE_DIR) + "/scenarios/job.schema.json");
  std::set<std::string> listed, known;
  for (const Json& word : schema.at("definitions").at("channel").at("enum")) listed.insert(word.get<std::string>());
  for (const ChannelRow& row : channel_rows) known.emplace(row.name);
  EXPECT_EQ(listed, known);
}

TEST(Channels, AreReadFromTheHeaderThatMessagesNameForThem) {
  for (const ChannelRow& row : channel_rows)
    if (!row.header.empty()) {
      EXPECT_EQ(read_header(row.header).kind, row.kind) << row.header;
    }
}

TEST(Channels, WithASignalAreComputedInAnEngineThatRuns) {
  EngineRun run(valley_v8(), Condition{}, RunOptions{});
  run.crank(1);
  const Trace trace = run.take();
  for (const ChannelRow& row : channel_rows)
    if (!row.signal.empty()) {
      EXPECT_TRUE(trace.has(row.signal)) << row.name;
    }
}

TEST(Channels, WithASignalAndAnErrorHaveTheSameQuantity) {
  for (const ChannelRow& row : channel_rows) {
    if (row.role == ChannelRow::Role::measured) {
      EXPECT_LT(row.least, row.most) << row.name;
    }
    if (reading_errors(row.kind)) {
      EXPECT_GT(row.most, reading_errors(row.kind)->tolerance) << row.name;
    }
  }
}

}  // namespace
}  // namespace railseep
