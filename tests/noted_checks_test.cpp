// Checks that a job's findings name as done are done, whatever is told of their outcome; words alone name none.
#include "job/noted_checks.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>

#include "circuit/schema_check.hpp"
#include "decide/check.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {
namespace {

TEST(NotedChecks, EveryCheckTheProgramOffersCanBeNotedInTheJobFile) {
  Job job;
  job.name = "a", job.complaint = "b", job.circuit = "models/valley_v8.json";
  job.findings = {{"air test, left valve cover", "hisses"}, {.check = "", .text = "", .done = "one rail: left rail"}};
  for (const std::string_view id : check_ids())
    job.findings.push_back({.check = "", .text = "", .done = std::string(id)});
  const std::string path = testing::TempDir() + "railseep_noted_" + std::to_string(getpid()) + ".json";
  write_job(path, job);
  EXPECT_FALSE(
      schema_mistake(read_json(std::string(RAILSEEP_SOURCE_DIR) + "/scenarios/job.schema.json"), read_json(path)));
  const std::vector<std::string> noted = noted_checks(read_job(path));
  std::filesystem::remove(path);
  EXPECT_EQ(noted.size(), check_ids().size() + 1);
  for (const std::string_view id : check_ids()) EXPECT_NE(std::ranges::find(noted, id), noted.end()) << id;
  EXPECT_NE(std::ranges::find(noted, "one rail: left rail"), noted.end());
}

TEST(NotedChecks, FreeWordsNoteNothingAndTwiceIsOnce) {
  Job job;
  job.findings = {{"the oil level", "fine"},
                  {"isolation", "plugs leaked"},
                  {.check = "", .text = "fast", .done = "hold"},
                  {.check = "", .text = "again", .done = "hold"}};
  EXPECT_EQ(noted_checks(job), std::vector<std::string>{"hold"});
}

}  // namespace
}  // namespace railseep
