#pragma once

#include "cli/answer_json.hpp"

namespace railseep {

/// The whole match: candidates, sizes, curves, what looks alike, and all that its text says.
Json match_json(const Answer& answer);

}  // namespace railseep
