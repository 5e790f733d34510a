// A measured value that stands in the words of a finding tells the match nothing: it is refused with what to write, and
// what is written so is evidence.
#include "job/value_in_words.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>

#include "job/noted_checks.hpp"
#include "quantity/whole_file.hpp"
#include "shipped_circuits.hpp"

namespace railseep {
namespace {

/// A job file with these entries.
Job job_with(const std::string& entries) {
  const std::string path = testing::TempDir() + "railseep_words_" + std::to_string(getpid()) + ".json";
  write_text(path,
             R"({"railseep": "job", "name": "a", "complaint": "b", "circuit": "models/valley_v8.json", "logs": [], )" +
                 entries + "}",
             true);
  Job job = read_job(path);
  std::filesystem::remove(path);
  return job;
}

std::string refusal(const std::string& finding) {
  return error_of([&] { job_with("\"findings\": [" + finding + "]"); });
}

TEST(ValueInWords, IsRefusedWithItsPlaceAndTheReadingToWrite) {
  const std::string message = refusal(R"({"check": "isolation", "text": "came to 1900 PSI, steady"})");
  for (const char* part : {"/findings/0/text", "\"kind\": \"rail_pressure\"", "\"value\": \"1900 psi\"",
                           "\"block\": \"rails\"", "\"check\": \"isolation\""})
    EXPECT_NE(message.find(part), std::string::npos) << part << "\n" << message;
  EXPECT_NE(refusal(R"({"check": "base oil", "text": "17psi"})").find("base_oil_pressure"), std::string::npos);
  EXPECT_NE(refusal(R"({"check": "sensor at rest", "text": "0.24 V"})").find("\"moment\": \"key on\""),
            std::string::npos);
  EXPECT_NE(refusal(R"({"check": "one rail: left rail", "text": "700 psi"})").find("\"block\": \"left rail\""),
            std::string::npos);
  EXPECT_NE(refusal(R"({"check": "coil resistance", "text": "9.1 ohm"})").find("\"resistance\": \"9.1 ohm\""),
            std::string::npos);
}

TEST(ValueInWords, WhatTheRefusalSaysToWriteIsEvidence) {
  const Job job = job_with(
      R"("readings": [{"kind": "rail_pressure", "value": "1900 psi", "moment": "cranking", "block": "rails", "oil_temperature": "88 degC", "check": "isolation"}])");
  const Observations told = evidence_of(job, {}).observations;
  ASSERT_EQ(told.readings.size(), 1u);
  EXPECT_NEAR(told.readings[0].value, 1900 * 6894.757293168, 1e-3);
  EXPECT_EQ(told.readings[0].situation.block, "rails");
  EXPECT_EQ(noted_checks(job), std::vector<std::string>{"isolation"});
}

TEST(ValueInWords, WordsWithoutSuchAValueAreKeptAndSayThatTheyAreNotUsed) {
  const Job job = job_with(R"("findings": [
    {"check": "isolation", "text": "plugs leaked, done again on 3 May"},
    {"check": "hold", "text": "gone within 3 s"},
    {"check": "asked the driver", "text": "the gauge showed 1900 psi"}])");
  EXPECT_TRUE(noted_checks(job).empty()) << "nothing was learnt, so nothing is done";
  const std::vector<std::string> notes = evidence_of(job, {}).observations.notes;
  ASSERT_EQ(notes.size(), 3u);
  for (const std::string& note : notes) EXPECT_NE(note.find("words alone, not used"), std::string::npos) << note;
}

TEST(ValueInWords, OfACheckNotedAsDoneItIsKeptAndTheNoteSaysWhatToWrite) {
  const Job job = job_with(R"("findings": [{"check": "isolation", "text": "1900 psi", "done": "isolation"}])");
  EXPECT_EQ(noted_checks(job), std::vector<std::string>{"isolation"});
  const std::vector<std::string> notes = evidence_of(job, {}).observations.notes;
  ASSERT_EQ(notes.size(), 1u);
  EXPECT_NE(notes[0].find("not used; write it among the readings"), std::string::npos) << notes[0];
  EXPECT_NE(refusal(R"({"check": "x", "text": "y", "done": "isolatio"})").find("did you mean \"isolation\""),
            std::string::npos);
}

TEST(ValueInWords, BesideAnOutcomeItIsAMereRemark) {
  const Job job = job_with(R"("findings": [{"check": "sensor at rest", "outcome": "good", "text": "0.24 V"}])");
  EXPECT_EQ(evidence_of(job, {}).observations.checks.size(), 1u);
}

}  // namespace
}  // namespace railseep
