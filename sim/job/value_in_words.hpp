#pragma once

#include <string>

#include "job/job.hpp"

namespace railseep {

/// A finding in words that holds the value which its check reads ("isolation": "1900 psi") tells the match nothing.
/// @return what to write in its place, so that it does; empty: it holds no such value
std::string better_told(const JobFinding& finding);

}  // namespace railseep
