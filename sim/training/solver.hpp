#pragma once

#include <functional>

#include "training/session.hpp"

namespace railseep {

/// Plays an exercise as the program advises. It sees what a learner sees: what a move tells, the list of checks, covers
/// and parts, and the advice.
/// @param before_each is called with the session before each piece of advice, and may throw to end it
/// @return the session, at its end or after so many moves
Session solve(const FaultTable& table, const Exercise& exercise, std::size_t most_moves = 60,
              const std::function<void(const Session&)>& before_each = {});

/// Does every check, then opens every cover and renews every part there, the dearest last, proving after each cover.
Session guess_everything(const FaultTable& table, const Exercise& exercise);

/// Renews the dearest part that is not renewed yet, proves, and goes on.
Session replace_the_dearest(const FaultTable& table, const Exercise& exercise);

}  // namespace railseep
