#pragma once

#include "cli/answer.hpp"
#include "cli/output.hpp"

namespace railseep {

/// What the text of an answer says, for machines: what was used and what was not, what is most likely wrong, where,
/// what to do next, how sure that is and what would make it surer.
Json answer_json(const char* kind, const Answer& answer);

/// Is a fault of the oil side named, is none the best explanation, or does the evidence not suffice?
Answered verdict_of(const Answer& answer);
inline constexpr const char* verdict_words = "a fault of the oil side is the best explanation";

}  // namespace railseep
