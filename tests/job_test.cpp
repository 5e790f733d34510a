#include "job/job.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "quantity/error.hpp"

namespace railseep {
namespace {

std::string refusal(const std::string& text) {
  const std::string path = testing::TempDir() + "railseep_job.json";
  std::ofstream(path) << text;
  try {
    read_job(path);
  } catch (const Error& error) {
    return error.what();
  }
  return "nothing was thrown";
}

TEST(Job, EveryShippedJobIsRead) {
  std::size_t jobs = 0;
  for (const auto& folder : std::filesystem::directory_iterator(std::string(RAILSEEP_SOURCE_DIR) + "/scenarios")) {
    if (!std::filesystem::exists(folder.path() / "job.json")) continue;
    const Job job = read_job((folder.path() / "job.json").string());
    EXPECT_NE(job.about.find("nvented"), std::string::npos) << job.name << " must say that it is invented";
    for (const JobLog& log : job.logs) EXPECT_TRUE(std::filesystem::exists(job_path(job, log.file))) << log.file;
    ++jobs;
  }
  EXPECT_GE(jobs, 1u);
}

TEST(Job, MistakesAreToldWithTheirPlace) {
  EXPECT_NE(refusal(R"({"railseep": "circuit"})").find("not a job file"), std::string::npos);
  const std::string start = R"({"railseep": "job", "name": "a", "complaint": "b", "circuit": "c", "logs": )";
  EXPECT_NE(refusal(start + "[]}").find("at least one log"), std::string::npos);
  EXPECT_NE(refusal(start + R"([{"name": "hot", "fiel": "x.csv"}]})").find("did you mean \"file\""), std::string::npos);
  const std::string unit = refusal(start + R"([{"name": "hot", "file": "x.csv", "oil_temperature": "90"}]})");
  EXPECT_NE(unit.find("/logs/0/oil_temperature"), std::string::npos) << unit;
  EXPECT_NE(refusal(start + R"([{"name": "hot", "file": "x.csv", "columns": [{"column": "3", "kind": "rail_presure"}]}]})").find("rail_pressure"), std::string::npos);
  EXPECT_NE(refusal(start).find("line 1"), std::string::npos);
}

}  // namespace
}  // namespace railseep
