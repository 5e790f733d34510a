// From a job file to the evidence the match takes.
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "circuit/schema_check.hpp"
#include "job/job.hpp"
#include "quantity/error.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {
namespace {

namespace fs = std::filesystem;

/// A folder with a job that says all a job can say, and its logs.
class JobEvidence : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::path(testing::TempDir()) / ("railseep_job_evidence_" + std::to_string(getpid()));
    fs::create_directories(folder_);
    for (const char* seen : {"hot.csv", "after.csv", "good.csv"}) log(seen, false);
    log("blind.csv", true);
    std::ofstream(folder_ / "job.json") << text_;
  }
  void TearDown() override { fs::remove_all(folder_); }

  void log(const std::string& name, bool substituted) {
    std::ofstream csv(folder_ / name);
    csv << "time (s),icp (kPa),icp_des (kPa),ipr (%),rpm,eot (degC)\n";
    for (int i = 0; i < 24; ++i)
      csv << 0.25 * i << "," << (substituted ? 6000 : 2000 + 10 * (i % 3)) << ",5000," << 60 + i % 5 << ","
          << 165 + i % 7 << ",88\n";
  }
  Evidence evidence(Stage stage = Stage::before) {
    const Job job = read_job((folder_ / "job.json").string());
    return evidence_of(
        job, [&](const std::string& file) { return job_path(job, file); }, stage);
  }
  std::string refusal(const std::string& instead_of, const std::string& written) {
    std::string text = text_;
    text.replace(text.find(instead_of), instead_of.size(), written);
    std::ofstream(folder_ / "wrong.json") << text;
    try {
      read_job((folder_ / "wrong.json").string());
    } catch (const Error& error) {
      return error.what();
    }
    return "nothing was thrown";
  }

  fs::path folder_;
  const std::string text_ = R"({
  "railseep": "job", "name": "a", "about": "invented", "complaint": "b", "circuit": "models/valley_v8.json",
  "readings": [
    {"when": "hot crank, about", "kind": "rail_pressure", "value": "300 psi", "moment": "cranking", "tolerance": "20 psi", "oil_temperature": "90 degC", "cranked": "8 s"},
    {"when": "rails blocked", "kind": "rail_pressure", "value": "1600 psi", "moment": "highest while cranking", "block": "rails", "oil_temperature": "80 degC"},
    {"when": "a minute later", "kind": "rail_pressure", "value": "40 psi", "moment": "after key off", "later": "45 s"},
    {"when": "key on", "kind": "rail_pressure_volts", "value": "0.26 V", "moment": "key on"},
    {"when": "idle", "kind": "regulator_duty", "value": "20 %", "moment": "idle", "stage": "after"},
    {"when": "the driver says", "kind": "rail_pressure", "value": "500 psi"},
    {"when": "coolant", "kind": "coolant_temperature", "value": "60 degC", "moment": "idle"}
  ],
  "logs": [
    {"name": "hot", "file": "hot.csv", "started": false, "rest_time": "10 min", "block": "left rail"},
    {"name": "blind", "file": "blind.csv", "started": false, "oil_temperature": "70 degC"},
    {"name": "repaired", "file": "after.csv", "started": true, "stage": "after"},
    {"name": "last year", "file": "good.csv", "started": true, "stage": "good", "block": "rails"}
  ],
  "starts": [{"started": true, "cranked": "6 s", "oil_temperature": "10 degC", "battery": "10.4 V"}],
  "air_tests": [{"pressure": "95 psi", "listened_by": "tube", "energise": "from battery",
    "heard": [{"at": "left cover", "heard": "loud"}, {"at": "left cover", "heard": "clear", "energised": true}],
    "falls": [{"time": "4 s"}, {"watched": "60 s", "energised": true}], "flows": [{"flow": "20 L/min"}]}],
  "findings": [
    {"check": "oil level", "outcome": "good"},
    {"check": "seen", "outcome": "bad", "place": "left rail front end plug", "text": "torn"},
    {"check": "coil resistance", "resistance": "8.4 ohm"},
    {"check": "asked the driver", "text": "stalls when warm"}
  ]})";
};

TEST_F(JobEvidence, EverythingStructuredIsTaken) {
  const Evidence seen = evidence();
  ASSERT_EQ(seen.logs.size(), 2u) << "the blind log has no measured pressure; the good one stands beside";
  EXPECT_EQ(seen.logs[0].block, "left rail");
  EXPECT_DOUBLE_EQ(seen.logs[0].condition.rest_time, 600);
  const Observations& observed = seen.observations;
  ASSERT_EQ(observed.readings.size(), 4u);
  EXPECT_NEAR(*observed.readings[0].tolerance, 20 * 6894.757293168, 1e-6);
  EXPECT_DOUBLE_EQ(observed.readings[0].situation.cranked, 8);
  EXPECT_TRUE(observed.readings[0].temperature_known);
  EXPECT_EQ(observed.readings[1].part, Reading::Part::peak);
  EXPECT_EQ(observed.readings[1].situation.block, "rails");
  EXPECT_EQ(observed.readings[2].situation.done, Situation::Done::key_off);
  EXPECT_DOUBLE_EQ(observed.readings[2].later, 45);
  EXPECT_FALSE(observed.readings[2].temperature_known);
  EXPECT_EQ(observed.readings[3].situation.done, Situation::Done::key_on);
  ASSERT_EQ(observed.starts.size(), 3u);
  EXPECT_FALSE(observed.starts[0].started);
  EXPECT_NEAR(*observed.starts[0].situation.speed, 168 * 2 * 3.14159265 / 60, 0.3) << "as logged";
  EXPECT_NEAR(observed.starts[0].situation.oil_temperature, 361.15, 1e-9) << "as logged";
  EXPECT_TRUE(observed.starts[2].started);
  EXPECT_DOUBLE_EQ(*observed.starts[2].situation.battery, 10.4);
  ASSERT_EQ(observed.logs.size(), 2u);
  EXPECT_LT(observed.logs[0].substituted, 0.5);
  EXPECT_GT(observed.logs[1].substituted, 0.9);
  ASSERT_EQ(observed.checks.size(), 3u);
  EXPECT_TRUE(observed.checks[1].bad);
  EXPECT_DOUBLE_EQ(*observed.checks[2].resistance, 8.4);
  ASSERT_EQ(observed.air.size(), 1u);
  EXPECT_NEAR(observed.air[0].done.pressure, 95 * 6894.757293168, 1e-6);
  EXPECT_EQ(observed.air[0].done.energise, Energised::from_battery);
  EXPECT_EQ(observed.air[0].heard[1].word, HeardWord::clear);
  EXPECT_TRUE(observed.air[0].heard[1].energised);
  EXPECT_FALSE(observed.air[0].decays[1].fell);
  EXPECT_NEAR(observed.air[0].flows[0].flow, 20e-3 / 60, 1e-12);
}

TEST_F(JobEvidence, WhatIsNotUsedIsSaid) {
  std::string notes;
  for (const std::string& note : evidence().observations.notes) notes += note + "\n";
  for (const char* part : {"the driver says: not used", "coolant: not used", "blind: its pressures are substituted",
                           "asked the driver: words alone"})
    EXPECT_NE(notes.find(part), std::string::npos) << part << "\n" << notes;
}

TEST_F(JobEvidence, AfterTheRepairIsKeptApart) {
  const Evidence after = evidence(Stage::after);
  ASSERT_EQ(after.logs.size(), 2u);
  EXPECT_EQ(after.logs[0].name, "repaired");
  EXPECT_EQ(after.observations.readings.size(), 1u);
  EXPECT_EQ(after.observations.starts.size(), 1u);
  EXPECT_TRUE(after.observations.checks.empty() && after.observations.air.empty());
}

// Whatever a sound engine did, it did under every candidate alike: only its curve says something, of the engine and not
// of the fault.
TEST_F(JobEvidence, OfTheGoodEngineOnlyTheCurveIsTaken) {
  for (const Stage stage : {Stage::before, Stage::after}) {
    const Evidence seen = evidence(stage);
    EXPECT_EQ(seen.logs[1].name, "last year");
    EXPECT_EQ(seen.logs[0].stage, Stage::before) << "the faults stand in it";
    EXPECT_EQ(seen.logs[1].stage, Stage::good);
    for (const Started& start : seen.observations.starts) EXPECT_NE(start.name, "last year");
    EXPECT_EQ(seen.observations.logs.size(), stage == Stage::before ? 2u : 1u);
  }
}

TEST_F(JobEvidence, WrittenTextReadsBackToTheSameJob) {
  const Job job = read_job((folder_ / "job.json").string());
  write_job((folder_ / "written.json").string(), job);
  EXPECT_EQ(job_text(read_job((folder_ / "written.json").string())), job_text(job));
}

TEST_F(JobEvidence, SchemaAllowsItAsReadAndAsWritten) {
  const Json schema = read_json(std::string(RAILSEEP_SOURCE_DIR) + "/scenarios/job.schema.json");
  for (const std::string& text : {text_, job_text(read_job((folder_ / "job.json").string()))}) {
    const auto mistake = schema_mistake(schema, Json::parse(text));
    EXPECT_FALSE(mistake.has_value()) << (mistake ? mistake->place + ": " + mistake->reason : "");
  }
}

TEST_F(JobEvidence, MistakesAreToldWithTheirPlace) {
  EXPECT_NE(refusal("\"cranking\"", "\"crankin\"").find("/readings/0/moment"), std::string::npos);
  EXPECT_NE(refusal("\"started\": true, \"cranked\"", "\"cranked\"").find("/starts/0/started"), std::string::npos);
  EXPECT_NE(refusal("\"oil level\"", "\"oil leve\"").find("did you mean \"oil level\""), std::string::npos);
  EXPECT_NE(refusal("\"place\": \"left rail front end plug\", ", "").find("/findings/1"), std::string::npos);
  EXPECT_NE(refusal("\"heard\": \"loud\"", "\"heard\": \"lowd\"").find("/air_tests/0/heard/0/heard"),
            std::string::npos);
  EXPECT_NE(refusal("\"stage\": \"after\"", "\"stage\": \"later\"").find("/stage"), std::string::npos);
  EXPECT_NE(refusal("\"stage\": \"after\"", "\"stage\": \"good\"").find("only a log can be of the good engine"),
            std::string::npos)
      << "a reading";
  EXPECT_NE(refusal("\"cranked\": \"6 s\"", "\"speed\": \"0 rpm\"").find("/starts/0/speed"), std::string::npos);
  EXPECT_NE(refusal("\"cranked\": \"6 s\"", "\"speed\": \"-5 rpm\"").find("/starts/0/speed"), std::string::npos);
  EXPECT_NE(refusal("\"block\": \"rails\"", "\"blocked\": \"rails\"").find("did you mean \"block\""),
            std::string::npos);
}

}  // namespace
}  // namespace railseep
