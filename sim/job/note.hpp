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
///     anything else: ...                    words alone, kept and not used
///
/// @return what was added, in one line. @throws Error for a line without ": ", or a number that cannot be read
std::string take_note(Job& job, const Circuit& circuit, const Evidence& evidence, const Checks& checks,
                      const std::string& line);

}  // namespace railseep
