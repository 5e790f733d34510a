#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "training/adviser.hpp"
#include "training/bay.hpp"
#include "training/exercise.hpp"
#include "training/parts.hpp"

namespace railseep {

/// What a learner does, as he types it: "check hot crank", what he suspects most, and what he expects.
struct Move {
  std::string verb;     // a word of move_words()
  std::string what;     // check, group, part or seconds
  std::string suspect;  // one of suspicions(); empty: not said
  std::string expect;  // "200-400 psi", "over 1500", part of an outcome's words, "starts", "found" ...; empty: not said
};

struct MoveWord {
  std::string_view word, arguments, meaning;
  bool paid;  // suspicion and expectation are asked first
};
std::span<const MoveWord> move_words();

/// "check hot crank; suspect pump; expect 200-400 psi". @throws Error naming the moves
Move parse_move(const std::string& line);
std::string move_text(const Move& move);

enum class Ending { none, solved, given_up, danger, comeback, shop_closed };
std::string_view word(Ending ending);

/// One move and what came of it.
struct Step {
  Move move;
  Cost cost;                                           // of this move; wrong parts and labour among it
  double clock = 0;                                    // at its end [s]
  std::vector<std::string> told;                       // what is seen, heard or read, line by line
  std::string check;                                   // id of the check that it was; empty: none
  std::optional<std::size_t> column;                   // its outcome
  std::optional<double> value;                         // its reading, SI
  std::optional<bool> as_expected;                     // nothing: nothing was expected
  std::string ruled_out;                               // what the result rules out, and why, in a sentence
  std::string evidence;                                // why it is none; empty: it is
  std::vector<std::pair<std::string, double>> belief;  // of the program, afterwards
  bool paid = false;
  bool refused = false;     // out of bounds: it could not be done so
  bool invalid = false;     // done in a condition in which the result says nothing
  bool redundant = false;   // it could tell nothing new
  std::string illogical;    // why it does not follow from what was known; empty: it does
  bool wrong_part = false;  // a good part was renewed
  double wasted = 0;        // money for nothing
};

/// An exercise being worked on. The same moves give the same session.
class Session {
 public:
  Session(const FaultTable& table, Exercise exercise);

  /// Does it, and keeps what came of it. A move that makes no sense is refused, and that is kept too.
  const Step& play(const Move& move);

  const Exercise& exercise() const { return exercise_; }
  const FaultTable& table() const { return table_; }
  const std::vector<Step>& steps() const { return steps_; }
  const std::vector<Part>& parts() const { return parts_; }
  const Bay& bay() const { return bay_; }
  const Adviser& adviser() const { return adviser_; }
  const std::set<std::string>& open() const { return open_; }
  double clock() const { return clock_; }
  double spent() const { return spent_; }
  int hints_taken() const { return hints_; }
  Ending ending() const { return ending_; }
  bool over() const { return ending_ != Ending::none; }
  const std::string& why_over() const { return why_over_; }
  const std::vector<Fault>& first_faults() const { return first_faults_; }

  std::vector<std::string> checks() const;    // ids of those that can be done here
  std::set<std::string> not_offered() const;  // done since the engine was last changed, or withheld
  /// What the program would do now.
  Advice advice() const { return adviser_.next(not_offered(), open_); }

 private:
  struct Refused;
  void ask(Step&step), look(Step&step), check(Step&step), crank(Step&step), renew(Step&step), prove(Step&step),
      elsewhere(Step&step), hint(Step&step);
  void simple(Step& step);
  void pay(Step& step, double seconds, double money = 0);
  void stop_for_danger(const std::string& what, const std::string& could);
  void end(Ending ending, const std::string& why);
  void judge_check(Step& step, const Forecast& forecast, const CheckShown& shown, const std::string& not_evidence);
  void need_closed(const std::string& what) const;
  void engine_changed();
  std::string rules_out(const std::vector<std::pair<std::string, double>>& before, const Forecast& forecast,
                        std::size_t column) const;

  const FaultTable& table_;
  Exercise exercise_;
  std::vector<Part> parts_;
  Bay bay_;
  Adviser adviser_;
  std::vector<Fault> first_faults_;
  std::vector<Step> steps_;
  std::set<std::string> open_, done_, renewed_;
  std::map<std::string, std::vector<Fault>> seen_;  // by group, since it was opened
  double clock_ = 0, spent_ = 0;
  int hints_ = 0, asked_ = 0;
  Ending ending_ = Ending::none;
  std::string why_over_;
};

/// Does an outcome of a check fit what was expected of it? @return nothing: the expectation names none
std::optional<bool> as_expected(const std::string& expectation, const Forecast& forecast, std::size_t column,
                                const std::optional<double>& value);

}  // namespace railseep
