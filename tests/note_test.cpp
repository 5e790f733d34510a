#include "job/note.hpp"

#include <gtest/gtest.h>

#include "circuit/circuit_file.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

struct NoteTest : testing::Test {
  std::string take(const std::string& line) { return take_note(job, circuit, {}, checks, line); }

  Circuit circuit = read_circuit(RAILSEEP_SOURCE_DIR "/models/valley_v8.json");
  Checks checks = read_checks(RAILSEEP_SOURCE_DIR "/models/checks.json");
  Job job;
};

TEST_F(NoteTest, AnIsolationPressureIsAReadingWithBothRailsPlugged) {
  take("isolation: 1900 psi");
  ASSERT_EQ(job.readings.size(), 1u);
  EXPECT_NEAR(job.readings[0].value, 1900 * 6894.757293168, 1);  // 1 psi: NIST SP 811
  EXPECT_EQ(job.readings[0].condition.block, "rails");
  EXPECT_EQ(job.readings[0].check, "isolation");
  EXPECT_EQ(why_unused(job.readings[0]), "");
}

TEST_F(NoteTest, OneRailIsNamedBehindTheCheck) {
  take("one rail: left rail: 55 bar");
  ASSERT_EQ(job.readings.size(), 1u);
  EXPECT_EQ(job.readings[0].condition.block, "left rail");
  EXPECT_THROW(take("one rail: third rail: 55 bar"), Error);
}

TEST_F(NoteTest, GoodAndBadAreEvidenceAndPlacesAreSeen) {
  take("inlet screen: bad, felted over");
  take("left rail front end plug: good");
  ASSERT_EQ(job.findings.size(), 2u);
  EXPECT_EQ(job.findings[0].bad, true);
  EXPECT_EQ(job.findings[0].text, "felted over");
  EXPECT_EQ(job.findings[1].check, "seen");
  EXPECT_EQ(job.findings[1].place, "left rail front end plug");
  EXPECT_EQ(job.findings[1].bad, false);
}

TEST_F(NoteTest, ALogFromAfterTheRepairIsOne) {
  take_note(job, circuit, {}, checks, "after: hot.csv", 363.15);
  ASSERT_EQ(job.logs.size(), 1u);
  EXPECT_EQ(job.logs[0].stage, Stage::after);
  EXPECT_EQ(job.logs[0].condition.oil_temperature, 363.15);
}

TEST_F(NoteTest, WordsAloneAreKeptAndSaidToBeUnused) {
  EXPECT_NE(take("smell: of diesel").find("does not use it"), std::string::npos);
  EXPECT_TRUE(job.findings[0].in_words());
}

TEST_F(NoteTest, WhatCannotBeReadChangesNothing) {
  EXPECT_THROW(take("isolation 1900 psi"), Error);
  EXPECT_THROW(take("isolation: 1900 rpm"), Error);
  EXPECT_THROW(take("inlet scren: bad"), Error);
  EXPECT_TRUE(job.findings.empty() && job.readings.empty());
}

}  // namespace
}  // namespace railseep
