#pragma once

#include <string>

#include "decide/check.hpp"
#include "job/job.hpp"

namespace railseep {

/// Takes what somebody writes down in one line into a job, as evidence where the match takes such:
///
///     isolation: 1900 psi                   a reading, as the check is done: hot, both rails plugged
///     one rail: left rail: 800 psi          the same with one rail plugged
///     regulator screen: bad, felted over    what was looked at, good or bad
///     left rail front end plug: good        a place that was opened and seen
///     started: no                           did it start?
///     after: hot.csv                        a log from after the repair; the file lies beside the job, or its path is
///     told anything else: ...                    words alone, kept and not used
///
/// @param oil_temperature of a reading or a log [K]; not told: a reading is taken to be as hot as the hottest log
/// @return what was added, in one line. @throws Error for a line without ": ", or a number that cannot be read
std::string take_note(Job& job, const Circuit& circuit, const Evidence& evidence, const Checks& checks,
                      const std::string& line, std::optional<double> oil_temperature = std::nullopt);

}  // namespace railseep
