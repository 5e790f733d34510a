#pragma once

#include <string>
#include <vector>

#include "job/job.hpp"

namespace railseep {

/// Ids of the checks (decide/check.hpp) that the job's findings name as what was checked, whatever is told of their outcome: they have been done,
/// and are not offered again.
std::vector<std::string> noted_checks(const Job& job);

}  // namespace railseep
