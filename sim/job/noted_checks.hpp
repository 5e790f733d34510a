#pragma once

#include <string>
#include <vector>

#include "decide/decide.hpp"
#include "job/job.hpp"

namespace railseep {

/// Id of the check (decide/check.hpp) that a finding tells of: with an outcome, or noted as done; empty: of none. Words
/// alone note nothing: the check may still bring what they do not.
std::string noted_check(const JobFinding& finding);

/// @throws Error at the place when it is the id of no check, nor of one of several such as "one rail: left rail"
void check_done_id(const std::string& id, const std::string& place);

/// Ids of the checks that the job tells of besides its logs, in findings, readings and air tests: they have been done,
/// and are not offered again.
std::vector<std::string> noted_checks(const Job& job);

/// How the engine stands in the shop. An engine that was never seen to start, and was cold each time, cannot be warmed.
Shop shop_of(const Job& job, const Evidence& evidence);

}  // namespace railseep
