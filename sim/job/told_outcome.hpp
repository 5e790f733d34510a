#pragma once

#include <string>
#include <vector>

#include "decide/decide.hpp"
#include "job/job.hpp"

namespace railseep {

/// What it adds to a job when somebody tells which outcome a check had.
struct ToldOutcome {
  std::string way;  // where one outcome can be told in several ways: which of them, "clear at left cover"; else empty
  std::vector<JobFinding> findings;
  std::vector<JobReading> readings;
  std::vector<HeardFinding> heard;  // in the air test that is done as air_done says
  AirTestOptions air_done;
  std::string unused;  // why the match does not use it; empty: it does

  bool counts() const { return unused.empty(); }
};

/// The ways to tell an outcome, as evidence that the match takes where there is such, else in words alone.
///
/// - looked at (oil level, oil sample, coil, regulator screen): a finding for each of its looks, good, or one of them
/// bad
/// - mechanical gauge beside the sensor: finding "sensor exchanged", good where the two agree
/// - sensor volts, base oil gauge, hot crank, read again, charged batteries, isolation, one rail: a reading that lies
/// in
///   the range, as unsure as the gauge is (check_reading.hpp)
/// - faster crank, hold: the same, as a multiple or as the half of the plateau that was logged hot; without such a log
/// words
/// - shop air: what was heard at which point, louder there than on a sound engine, or everywhere as on one; words where
/// a
///   sound engine is loud already
///
/// @param outcome one of ranked.outcomes
std::vector<ToldOutcome> ways_to_tell(const Circuit& circuit, const Decision& decision, const RankedCheck& ranked,
                                      const OutcomeMeaning& outcome);

void tell(Job& job, const ToldOutcome& told);

/// Takes back what findings and readings tell of a check. Air tests stay: they hold more than one check.
void take_back(Job& job, const std::string& check);

/// The job's air test that was done in this way; begun when there is none.
AirFindings& air_test_done(Job& job, const AirTestOptions& done);

}  // namespace railseep
