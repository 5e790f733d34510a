#pragma once

#include "cli/answer_json.hpp"

namespace railseep {

/// The whole decision: times in s, money in the currency named.
Json next_json(const Answer& answer);

}  // namespace railseep
