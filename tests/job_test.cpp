#include "job/job.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "circuit/schema_check.hpp"
#include "job/kept_proof.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {
namespace {

std::string refusal(const std::string& text) {
  const std::string path = testing::TempDir() + "railseep_job_" + std::to_string(getpid()) + ".json";
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

/// Does scenarios/job.schema.json allow it?
bool allowed(const Json& job) {
  return !schema_mistake(read_json(std::string(RAILSEEP_SOURCE_DIR) + "/scenarios/job.schema.json"), job);
}

TEST(Job, SchemaAllowsShippedJobsAndRefusesMistypedKeys) {
  for (const auto& folder : std::filesystem::directory_iterator(std::string(RAILSEEP_SOURCE_DIR) + "/scenarios")) {
    if (!std::filesystem::exists(folder.path() / "job.json")) continue;
    Json job = read_json((folder.path() / "job.json").string());
    EXPECT_TRUE(allowed(job)) << folder.path();
    job["logs"][0]["oil_temperature"] = "90 degC";
    EXPECT_TRUE(allowed(job));
    job["logs"][0]["oil_temperature"] = "90";
    EXPECT_FALSE(allowed(job));
    job["logs"][0].erase("oil_temperature");
    job["logs"][0]["fiel"] = "x";
    EXPECT_FALSE(allowed(job));
  }
}

TEST(Job, MistakesAreToldWithTheirPlace) {
  EXPECT_NE(refusal(R"({"railseep": "circuit"})").find("not a job file"), std::string::npos);
  const std::string start = R"({"railseep": "job", "name": "a", "complaint": "b", "circuit": "c", "logs": )";
  EXPECT_NE(refusal(start + R"([{"name": "hot", "fiel": "x.csv"}]})").find("did you mean \"file\""), std::string::npos);
  const std::string unit = refusal(start + R"([{"name": "hot", "file": "x.csv", "oil_temperature": "90"}]})");
  EXPECT_NE(unit.find("/logs/0/oil_temperature"), std::string::npos) << unit;
  EXPECT_NE(
      refusal(start + R"([{"name": "hot", "file": "x.csv", "columns": [{"column": "3", "kind": "rail_presure"}]}]})")
          .find("rail_pressure"),
      std::string::npos);
  EXPECT_NE(refusal(start).find("line 1"), std::string::npos);
}

/// A job with everything in it that a job file can say.
Job full_job() {
  Job job;
  job.name = "Invented \"tug\"";
  job.about = "invented";
  job.complaint = "line one\nline two, 90 °C";
  job.circuit = "models/valley_v8.json";
  job.readings = {{"hot idle", ChannelKind::regulator_duty, 0.24},
                  {"", ChannelKind::oil_temperature, 361.15},
                  {"key on", ChannelKind::rail_pressure_volts, 0.31}};
  JobLog log;
  log.file = "hot.csv";
  log.condition = {"hot crank", "10W-30", 363.15, 17.5, 10.2, 0.07};
  log.options.interval = 0.25;
  ColumnOptions column;
  column.column = "3";
  column.kind = ChannelKind::rail_pressure_volts;
  column.unit = "V";
  column.factor = 0.01;
  column.time_shift = -0.3;
  column.sensor_zero = 0.24;
  column.sensor_gain = 6.157e6;
  log.options.columns = {column};
  job.logs = {log, {"cold.csv", {}, {"cold", "", {}, {}, {}, {}}}};
  job.findings = {{"air test", "hiss under the left cover"}};
  job.proof = KeptProof{RepairProof::Verdict::something_left,
                        "the fault is there, and smaller",
                        "hole at left rail front end plug",
                        0.0312,
                        0.1,
                        0.8688,
                        "0123456789abcdef"};
  return job;
}

TEST(Job, WrittenTextReadsBackToTheSameJob) {
  const Job job = full_job();
  const std::string path = testing::TempDir() + "railseep_written_job_" + std::to_string(getpid()) + ".json";
  write_job(path, job);
  const Job back = read_job(path);
  EXPECT_EQ(back.name, job.name);
  EXPECT_EQ(back.complaint, job.complaint);
  ASSERT_EQ(back.readings.size(), 3u);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(back.readings[i].when, job.readings[i].when);
    EXPECT_EQ(back.readings[i].kind, job.readings[i].kind);
    EXPECT_DOUBLE_EQ(back.readings[i].value, job.readings[i].value);
  }
  ASSERT_EQ(back.logs.size(), 2u);
  EXPECT_EQ(back.logs[0].file, "hot.csv");
  EXPECT_EQ(back.logs[0].condition.oil, "10W-30");
  EXPECT_DOUBLE_EQ(*back.logs[0].condition.oil_temperature, 363.15);
  EXPECT_DOUBLE_EQ(*back.logs[0].condition.speed, 17.5);
  EXPECT_DOUBLE_EQ(*back.logs[0].condition.battery, 10.2);
  EXPECT_DOUBLE_EQ(*back.logs[0].condition.rest_air, 0.07);
  EXPECT_DOUBLE_EQ(*back.logs[0].options.interval, 0.25);
  ASSERT_EQ(back.logs[0].options.columns.size(), 1u);
  const ColumnOptions& column = back.logs[0].options.columns[0];
  EXPECT_EQ(column.column, "3");
  EXPECT_EQ(*column.kind, ChannelKind::rail_pressure_volts);
  EXPECT_EQ(*column.unit, "V");
  EXPECT_DOUBLE_EQ(column.factor, 0.01);
  EXPECT_DOUBLE_EQ(column.time_shift, -0.3);
  EXPECT_DOUBLE_EQ(*column.sensor_zero, 0.24);
  EXPECT_DOUBLE_EQ(*column.sensor_gain, 6.157e6);
  EXPECT_FALSE(back.logs[1].condition.oil_temperature.has_value());
  ASSERT_EQ(back.findings.size(), 1u);
  EXPECT_EQ(back.findings[0].check, "air test");
  EXPECT_EQ(back.findings[0].text, "hiss under the left cover");
  EXPECT_EQ(back.proof, job.proof);
  EXPECT_EQ(job_text(back), job_text(job));
  EXPECT_TRUE(allowed(read_json(path)));
}

TEST(Job, KeptProofThatIsNoneIsRefused) {
  const auto refused = [](const char* key, const Json& value) {
    Json json = Json::parse(job_text(full_job()));
    json["proof"][key] = value;
    EXPECT_FALSE(allowed(json)) << key;
    return refusal(json.dump());
  };
  EXPECT_NE(refused("verdict", "perhaps").find("/proof/verdict: \"perhaps\" is no verdict"), std::string::npos);
  EXPECT_NE(refused("gone", 1.2).find("/proof/gone: a probability lies between 0 and 1"), std::string::npos);
  EXPECT_NE(refused("gnoe", 0.2).find("gnoe"), std::string::npos);
}

TEST(Job, FingerprintFollowsAllThatAProofIsComputedFromAndNothingElse) {
  const std::string folder = testing::TempDir() + "railseep_print_" + std::to_string(getpid());
  std::filesystem::create_directories(folder);
  const auto write = [&](const char* file, const char* text) { std::ofstream(folder + "/" + file) << text; };
  write("hot.csv", "1"), write("cold.csv", "2"), write("circuit.json", "3");
  const FindFile find = [&](const std::string& file) {
    return folder + "/" + std::filesystem::path(file).filename().string();
  };
  Job job = full_job();
  job.circuit = "circuit.json";
  const std::string first = evidence_fingerprint(job, find);
  job.name = "another name", job.proof.reset(), job.findings[0].text = "no hiss";
  job.logs[0].file = "elsewhere/hot.csv", job.logs[0].condition.name = "warm";
  EXPECT_EQ(evidence_fingerprint(job, find), first);
  for (const char* file : {"hot.csv", "cold.csv", "circuit.json"}) {
    const std::string was = read_text(folder + "/" + file);
    write(file, "other");
    EXPECT_NE(evidence_fingerprint(job, find), first) << file;
    write(file, was.c_str());
  }
  EXPECT_EQ(evidence_fingerprint(job, find), first);
  job.logs[1].stage = Stage::after;
  EXPECT_NE(evidence_fingerprint(job, find), first);
  std::filesystem::remove(folder + "/hot.csv");
  EXPECT_THROW(evidence_fingerprint(job, find), Error);
}

TEST(Job, EveryShippedJobIsWrittenAndReadBack) {
  for (const auto& folder : std::filesystem::directory_iterator(std::string(RAILSEEP_SOURCE_DIR) + "/scenarios")) {
    if (!std::filesystem::exists(folder.path() / "job.json")) continue;
    const Job job = read_job((folder.path() / "job.json").string());
    const std::string path = testing::TempDir() + "railseep_shipped_job.json";
    write_job(path, job);
    EXPECT_EQ(job_text(read_job(path)), job_text(job)) << job.name;
  }
}

TEST(Job, MovedToAnotherFolderItNamesTheSameFiles) {
  namespace fs = std::filesystem;
  const fs::path top = fs::path(testing::TempDir()) / "railseep_moved";
  fs::create_directories(top / "old"), fs::create_directories(top / "new");
  std::ofstream(top / "old" / "hot.csv") << "x";
  Job job;
  job.folder = (top / "old").string();
  job.circuit = "models/valley_v8.json";
  job.logs.push_back({"hot.csv", {}, {}});
  const Job moved = moved_to(job, (top / "new").string());
  EXPECT_TRUE(fs::equivalent(job_path(moved, moved.logs[0].file), top / "old" / "hot.csv"));
  EXPECT_EQ(moved_to(moved, (top / "old").string()).logs[0].file, "hot.csv");
  EXPECT_EQ(moved_to(job, top.string()).logs[0].file, "old/hot.csv");
  EXPECT_EQ(moved.circuit, "models/valley_v8.json");
  fs::remove_all(top);
}

}  // namespace
}  // namespace railseep
