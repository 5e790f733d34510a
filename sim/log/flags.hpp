#pragma once

#include "log/log.hpp"

namespace railseep {

/// Marks doubtful stretches in all channels of a log; changes no sample.
///
/// Source: the rules are common practice in reading such logs, without a published source.
void add_flags(Log& log);

}  // namespace railseep
