#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "diagram.hpp"
#include "long_work.hpp"
#include "plot.hpp"
#include "training/debrief.hpp"
#include "training/lesson.hpp"
#include "training/session_file.hpp"
#include "what_if.hpp"

namespace railseep::gui {

struct App;

/// What can be chosen to begin with.
struct ListedExercise {
  std::string file, name, complaint;
  int level = 1;
};
struct ListedLesson {
  std::string file, title;
};
struct ListedSession {
  std::string file, exercise, learner;  // exercise: its name, not its file, for files are called after the fault
  std::size_t moves = 0;
};

/// A session with the table it reads from.
struct Played {
  std::shared_ptr<const FaultTable> table;
  Session session;
};

/// A session looked back on.
struct LookedBack {
  std::shared_ptr<const Played> played, par;
  Debrief debrief;
  std::vector<PlotCurve> cranks;  // [s], gauge [Pa]
};

/// One thing that a learner can do.
struct Action {
  std::string group;  // one of action_groups()
  std::string words;  // "Ask the driver"
  std::string how;
  Move move;                          // without suspicion and expectation
  std::vector<std::string> cautions;  // what they are needed for
  std::vector<std::string> expected;  // what can be expected of it; none: it costs nothing, or shows nothing
  std::optional<Cost> cost;           // where it is known beforehand
  bool paid = false;                  // suspicion and expectation come first
  bool at_pressure = false, energised = false, for_seconds = false, for_minutes = false;  // what else is told

  std::string id() const { return move_text(move); }
};

/// In the order in which they are offered.
std::vector<std::string> action_groups();

/// All that can be done now: every check, cover and part of the session, and every other move.
std::vector<Action> actions_of(const Session& session);

/// What the learner has filled in for the next move.
struct MoveDraft {
  std::string group;                     // shown
  std::string action;                    // id of the one that stands unfolded; empty: none
  std::string suspect, expect;           // empty: not chosen yet
  double pressure = 100 * 6894.757;      // of shop air, gauge [Pa]
  double pulse = 5;                      // the regulator is energised so long [s]
  double crank_time = 8, waiting = 120;  // [s]
};

/// The move that the draft makes of an action, in units that are shown and can be read again.
Move move_of(const Action& action, const MoveDraft& draft, const ShownUnits& units);

/// A lesson that is being shown.
struct Teaching {
  Lesson lesson;
  std::shared_ptr<const Circuit> circuit;
  std::size_t state = 0;
  std::string prediction;            // of the class
  std::optional<LessonShown> shown;  // what happened; none: not shown yet
  WhatIf sight;                      // how the engine is drawn
  DiagramState diagram;
  PlotState plot;
  int shown_sight = 0;  // drawing or curves, where there is no room for both
};

/// Exercises and lessons: what there is, what is played, and how it is looked at.
struct Training : LongWork {
  enum class Page { list, play, look_back, lesson } page = Page::list;
  bool listed = false;
  std::vector<ListedExercise> exercises;
  std::vector<ListedLesson> lessons;
  std::vector<ListedSession> sessions;
  std::string learner;                                              // name or number
  std::map<std::string, std::shared_ptr<const FaultTable>> tables;  // by circuit file

  std::string file;     // of the session
  std::string on_disk;  // fingerprint of what that file holds; empty: there is none yet
  SessionFile kept;     // as it stands in the file
  std::shared_ptr<const Played> played;
  std::shared_ptr<const LookedBack> looked_back;
  MoveDraft draft;
  int tab = 0, list_tab = 0;               // of a narrow window
  bool projector = false;                  // large, without answers
  std::shared_ptr<const Circuit> circuit;  // drawn
  WhatIf sight;                            // how the engine is drawn; nothing is computed for it
  DiagramState diagram;
  TimeAxis axis;
  PlotState plot;

  Teaching teaching;
};

/// Where sessions are kept: a folder of their own below that of the settings.
std::filesystem::path session_folder(const App& app);

/// Reads what there is to choose from.
void list_training(App& app);

/// Begins an exercise in a new session file, or goes on with a session. Beside the frame.
void begin_exercise(App& app, const std::string& exercise);
void resume_session(App& app, const std::string& session);

/// Plays a move and saves the session, beside the frame. A move that cannot be saved is not made.
void play_move(App& app, const Move& move);

/// Lets the program play the exercise and holds it against the session. Beside the frame.
void look_back(App& app);

void begin_lesson(App& app, const std::string& file);
void show_state(Teaching& teaching, std::size_t state);
/// Computes what happens in the state at hand. Beside the frame.
void show_what_happens(App& app);

}  // namespace railseep::gui
