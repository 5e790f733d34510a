#pragma once

#include <optional>
#include <string>
#include <vector>

#include "log/log.hpp"

namespace railseep {

/// What a channel measured, as the one gate between a log and whoever computes with it: samples whose flags say that
/// they are no measurement are left out, and of samples at one time the first counts. nullopt: the log has no such
/// channel, or nothing usable in it.
/// @param notes what was left out, in the unit and with the lines of the file
std::optional<Channel> usable(const Log& log, ChannelKind kind, std::vector<std::string>& notes);

}  // namespace railseep
