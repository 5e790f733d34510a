#pragma once

#include "log/log.hpp"

namespace railseep {

/// Marks doubtful stretches in all channels of a log; changes no sample.
///
/// Source: the rules are common practice in reading such logs, without a published source.
void add_flags(Log& log);

/// Does such a flag say that its samples are no measurement of that moment?
bool leaves_out(FlagKind kind);

/// Which samples of a channel its flags leave out.
std::vector<bool> left_out(const Channel& channel);

/// Smallest step between samples that are not left out [SI]; 0 where the value never changes.
double smallest_step(const Channel& channel);

}  // namespace railseep
