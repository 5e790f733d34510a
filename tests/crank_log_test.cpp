#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>

#include "evidence/evidence.hpp"
#include "log/log_reader.hpp"
#include "quantity/error.hpp"
#include "units.hpp"

namespace railseep {
namespace {

// From a log to what drives the model and what is fitted. All logs are invented; what must come out follows from their
// text.

struct Row {
  double pressure = 500, duty = 60, speed = 150, battery = 10.5, oil = 90;  // psi, %, rpm, V, degC
};

std::string log_of(int count, const std::function<void(int, Row&)>& change) {
  std::string text = "Time (s),ICP (psi),IPR (%),RPM,Battery (V),EOT (C)\n";
  for (int i = 0; i < count; ++i) {
    Row row;
    row.pressure = 40.0 * i;
    change(i, row);
    char line[200];
    std::snprintf(line, sizeof line, "%.1f,%g,%g,%g,%g,%g\n", 0.5 * i, row.pressure, row.duty, row.speed, row.battery,
                  row.oil);
    text += line;
  }
  return text;
}

CrankEvidence evidence_of(const std::string& text) {
  return crank_evidence(parse_log(text, "log.csv"), {"crank", "", {}, {}, {}, {}});
}

std::string notes_of(const CrankEvidence& evidence) {
  std::string all;
  for (const std::string& note : evidence.notes) all += note + "\n";
  return all;
}

void expect_told(const CrankEvidence& evidence, const std::string& part) {
  EXPECT_NE(notes_of(evidence).find(part), std::string::npos) << notes_of(evidence) << "lacks: " << part;
}

TEST(CrankLog, AnImpossibleDutyDoesNotDriveTheModel) {
  const CrankEvidence evidence = evidence_of(log_of(14, [](int i, Row& row) {
    if (i == 6 || i == 7) row.duty = 140;
  }));
  for (double t = 0; t < 7; t += 0.1) EXPECT_NEAR(evidence.duty->at(t), 0.6, 1e-9) << t;
  expect_told(evidence, "IPR (%), line 8: 140 % is beyond what can be there");
}

// A tachometer that scatters by 60 rpm hides one catch of 420 rpm from the search for spikes: a single sample is no
// engine that runs.
TEST(CrankLog, ARunningEngineShowsInTwoSamples) {
  const auto kept = [](int running) {
    return evidence_of(log_of(14,
                              [running](int i, Row& row) {
                                row.speed = i >= 7 && i < 7 + running ? 420 : i % 2 ? 120 : 180;
                              }))
        .time.size();
  };
  EXPECT_EQ(kept(1), 14u);
  EXPECT_EQ(kept(2), 7u);
}

// Duties of a column without a unit are per cent where they are above 1.5: no share is.
TEST(CrankLog, ADutyOfSixtyIsSixtyPerCent) {
  std::string text = "Time (s),ICP (psi),IPR duty,RPM\n";
  for (int i = 0; i < 14; ++i)
    text += std::to_string(0.5 * i) + "," + std::to_string(40 * i) + "," + std::to_string(60 + i % 2) + ".5,150\n";
  const CrankEvidence evidence = evidence_of(text);
  ASSERT_TRUE(evidence.duty);
  EXPECT_NEAR(evidence.duty->at(2), 0.605, 1e-9);
}

TEST(CrankLog, ADefaultTemperatureIsNotAveragedIn) {
  const CrankEvidence evidence = evidence_of(log_of(14, [](int i, Row& row) {
    if (i % 4 == 1) row.oil = -40;
  }));
  EXPECT_NEAR(evidence.condition.oil_temperature, 363.15, 1e-9);
  expect_told(evidence, "EOT (C), line 3: -40 degC");
}

TEST(CrankLog, ATemperatureThatIsNeverReadIsNotMeasured) {
  const CrankEvidence evidence = evidence_of(log_of(14, [](int, Row& row) { row.oil = -40; }));
  expect_told(evidence, "no oil temperature");
}

TEST(CrankLog, OneWildSpeedIsNoRunningEngine) {
  for (const double wild : {16383.0, 900.0}) {
    const CrankEvidence evidence = evidence_of(log_of(14, [wild](int i, Row& row) {
      if (i == 5) row.speed = wild;
    }));
    EXPECT_EQ(evidence.time.size(), 14u) << wild;
    EXPECT_LT(evidence.condition.speed.at(2.5), 160 * rpm) << wild;
    expect_told(evidence, "RPM, line 7: ");
  }
}

TEST(CrankLog, AnEngineThatRunsEndsTheCrank) {
  const CrankEvidence evidence = evidence_of(log_of(14, [](int i, Row& row) {
    if (i >= 9) row.speed = 700;
  }));
  EXPECT_EQ(evidence.time.size(), 9u);
  expect_told(evidence, "the engine fires at 4.5 s");
  const CrankEvidence last = evidence_of(log_of(14, [](int i, Row& row) {
    if (i == 13) row.speed = 700;
  }));
  EXPECT_EQ(last.time.size(), 13u) << "a log may end as the engine fires";
}

TEST(CrankLog, AWildBatteryAndAWildPressureAreLeftOut) {
  const CrankEvidence evidence = evidence_of(log_of(14, [](int i, Row& row) {
    if (i == 5) row.battery = 65.5;
    if (i == 8) row.pressure = 1e30;
  }));
  EXPECT_NEAR(evidence.condition.battery.at(2.5), 10.5, 1e-9);
  EXPECT_EQ(evidence.time.size(), 13u);
  expect_told(evidence, "Battery (V), line 7: 65.5 V");
  expect_told(evidence, "ICP (psi), line 10: ");
}

// Pressure and duty of one row belong to one moment: of rows at one time the first counts for both.
TEST(CrankLog, SamplesAtOneTimeCountOnceInEveryChannel) {
  std::string text = "Time (s),ICP (psi),IPR (%),RPM\n";
  for (int i = 0; i < 8; ++i) text += std::to_string(i) + "," + std::to_string(100 * i) + ",40,150\n";
  text += "7,5000,90,150\n8,800,40,150\n";
  const CrankEvidence evidence = evidence_of(text);
  EXPECT_EQ(evidence.time.size(), 9u);
  EXPECT_NEAR(evidence.duty->at(7), 0.4, 1e-9);
  EXPECT_NEAR(evidence.measured[7], 700 * psi, 1);
  expect_told(evidence, "line 10: 1 samples have the time of the one before them; they are left out");
}

TEST(CrankLog, AClockInWholeSecondsKeepsAllSamples) {
  std::string text = "Time,ICP (psi),IPR (%),RPM\n";
  for (int i = 0; i < 70; ++i)
    text += "10:00:0" + std::to_string(i / 10) + "," + std::to_string(10 * i) + "," + std::to_string(i) + ",150\n";
  const CrankEvidence evidence = evidence_of(text);
  ASSERT_EQ(evidence.time.size(), 70u);
  for (std::size_t i = 0; i < 70; ++i) {
    EXPECT_NEAR(evidence.time[i], 0.1 * static_cast<double>(i), 1e-6);
    EXPECT_NEAR(evidence.duty->at(evidence.time[i]), 0.01 * static_cast<double>(i), 1e-9);
  }
}

TEST(CrankLog, WhatMustBeToldStopsIt) {
  std::string text = "Time (s),ICP,RPM\n";
  for (int i = 0; i < 14; ++i) text += std::to_string(i) + "," + std::to_string(2 * i) + ",150\n";
  try {
    evidence_of(text);
    ADD_FAILURE() << "a pressure of 26 may be in three units";
  } catch (const Error& error) {
    EXPECT_NE(std::string(error.what()).find("may be psi, kPa or bar"), std::string::npos) << error.what();
    EXPECT_NE(error.expected().find(R"("unit": "psi")"), std::string::npos) << error.what();
  }
}

TEST(CrankLog, WithoutAPressureItNamesTheColumnsItSaw) {
  try {
    evidence_of("Time (s),RPM,Pressure\n0,150,3\n1,150,4\n");
    ADD_FAILURE() << "it was taken";
  } catch (const Error& error) {
    EXPECT_NE(std::string(error.what()).find("\"Time (s)\", \"RPM\", \"Pressure\""), std::string::npos) << error.what();
  }
}

TEST(CrankLog, TellsThatSpeedsAreAveraged) {
  expect_told(evidence_of(log_of(14, [](int, Row&) {})), "each speed is the mean");
}

}  // namespace
}  // namespace railseep
