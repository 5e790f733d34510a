#pragma once

#include "decide/decide.hpp"
#include "job/job.hpp"
#include "quantity/json_fields.hpp"

namespace railseep {

/// The whole decision: times in s, money in the currency named.
Json decision_json(const Job& job, const Circuit& circuit, const Decision& decision);

}  // namespace railseep
