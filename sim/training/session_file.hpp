#pragma once

#include <string>
#include <vector>

#include "training/session.hpp"

namespace railseep {

/// What is kept of a session: who played which exercise, and every move, one line each. The rest follows from the
/// exercise's seed.
struct SessionFile {
  std::string exercise;  // file, as it was given
  std::string print;     // fingerprint of its text
  std::string learner;   // name or number
  std::vector<Move> moves;
};

/// Text of a session file: a line of JSON for its head, then one for each move. A move more makes it longer and changes
/// nothing before.
std::string session_text(const SessionFile& session);

/// @throws Error with file, line, found, expected
SessionFile parse_session(const std::string& text, const std::string& file);

/// Plays the kept moves again. @throws Error when the exercise is not the one that was played
Session replay(const FaultTable& table, const Exercise& exercise, const std::string& exercise_print,
               const SessionFile& kept);

}  // namespace railseep
