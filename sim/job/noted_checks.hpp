#pragma once

#include <string>
#include <vector>

#include "job/job.hpp"

namespace railseep {

/// Id of the check (decide/check.hpp) that a finding tells of, whatever it tells of its outcome; empty: of none.
std::string noted_check(const JobFinding& finding);

/// Ids of the checks that the job tells of besides its logs, in findings, readings and air tests: they have been done,
/// and are not offered again.
std::vector<std::string> noted_checks(const Job& job);

}  // namespace railseep
