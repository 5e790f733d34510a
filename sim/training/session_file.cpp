#include "training/session_file.hpp"

#include <sstream>

#include "quantity/error.hpp"

namespace railseep {

std::string session_text(const SessionFile& session) {
  std::string text = Json{{"railseep", "session"},
                          {"exercise", session.exercise},
                          {"print", session.print},
                          {"learner", session.learner}}
                         .dump() +
                     "\n";
  for (const Move& move : session.moves) text += Json{{"move", move_text(move)}}.dump() + "\n";
  return text;
}

SessionFile parse_session(const std::string& text, const std::string& file) {
  SessionFile session;
  std::istringstream lines(text);
  std::string line;
  for (int number = 1; std::getline(lines, line); ++number) {
    const std::string place = file + ", line " + std::to_string(number);
    const Json json = parse_json(line, place);
    JsonFields fields(json, place);
    if (number == 1) {
      if (fields.text("railseep") != "session")
        throw Error(place, "this is not a session", "give the file that railseep exercise play has written");
      session.exercise = fields.text("exercise");
      session.print = fields.text("print");
      session.learner = fields.text("learner");
    } else {
      const std::string typed = fields.text("move");
      try {
        session.moves.push_back(parse_move(typed));
      } catch (const Error& error) {
        throw error.within(place);
      }
    }
    fields.finish();
  }
  if (session.print.empty()) throw Error(file, "the file is empty", "give a session file");
  return session;
}

Session replay(const FaultTable& table, const Exercise& exercise, const std::string& exercise_print,
               const SessionFile& kept) {
  if (kept.print != exercise_print)
    throw Error(kept.exercise, "the exercise has been changed since this session was begun",
                "give the exercise as it was, or begin a new session");
  Session session(table, exercise);
  for (const Move& move : kept.moves) {
    if (session.over()) throw Error("session", "it goes on behind its end", "give the file as it was written");
    session.play(move);
  }
  return session;
}

}  // namespace railseep
