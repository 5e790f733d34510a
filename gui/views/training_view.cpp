// Training: exercises and lessons to choose from, and the page of the one that was chosen.
#include "look.hpp"
#include "training/exercise.hpp"
#include "training_parts.hpp"
#include "views.hpp"
#include "words/cost_words.hpp"

namespace railseep::gui {

namespace {

std::string head_of(const ListedExercise& exercise) {
  return exercise.name + "   level " + std::to_string(exercise.level) + ": " + std::string(level_words(exercise.level));
}

void draw_sessions(App& app) {
  const Training& training = app.training;
  if (training.sessions.empty()) return;
  heading("Go on, or look back");
  constexpr std::size_t most = 8;  // the older ones can be opened as files
  for (std::size_t i = 0; i < training.sessions.size() && i < most; ++i) {
    const ListedSession& session = training.sessions[i];
    const std::string who = session.learner.empty() ? "" : ", learner " + session.learner;
    const std::string moves = std::to_string(session.moves) + (session.moves == 1 ? " move" : " moves");
    if (large_button("session " + std::to_string(i), session.exercise + who, moves, 0))
      return resume_session(app, session.file);
  }
}

void draw_exercises(App& app) {
  Training& training = app.training;
  heading("An engine with a hidden fault");
  edit_text("Learner: a name or a number##learner", training.learner);
  for (std::size_t i = 0; i < training.exercises.size(); ++i) {
    const ListedExercise& exercise = training.exercises[i];
    if (large_button("exercise " + std::to_string(i), head_of(exercise), exercise.complaint, 0))
      return begin_exercise(app, exercise.file);
  }
}

void draw_lessons(App& app) {
  heading("Lessons: show an engine to the class");
  say_quietly("State by state: a question, the class's prediction, then what happens.");
  for (std::size_t i = 0; i < app.training.lessons.size(); ++i)
    if (large_button("lesson " + std::to_string(i), app.training.lessons[i].title, "", 0))
      return begin_lesson(app, app.training.lessons[i].file);
}

void draw_files(App& app) {
  heading("From a file");
  if (button("An exercise of your own ..."))
    app.browser.open("Open an exercise", {".json"}, app.settings.last_folder, false,
                     [&app](const std::string& path) { begin_exercise(app, path); });
  if (button("A session ..."))
    app.browser.open("Open a session", {".session"}, session_folder(app), false,
                     [&app](const std::string& path) { resume_session(app, path); });
  if (button("A lesson of your own ..."))
    app.browser.open("Open a lesson", {".json"}, app.settings.last_folder, false,
                     [&app](const std::string& path) { begin_lesson(app, path); });
}

/// What is computed before an exercise can begin, or why it could not.
void draw_training_state(App& app) {
  Training& training = app.training;
  if (training.running() && draw_progress(*training.progress, "training")) training.stop(app.playing);
  if (training.running()) say_quietly("Once for each kind of engine, while this window is open.");
  if (training.trouble) say_trouble(*training.trouble);
}

}  // namespace

std::string cost_of_move(const Cost& cost, const std::string& currency) {
  return minutes_words(cost.time) + ", " + money_words(cost.money) + " " + currency;
}

void draw_training_top(App& app) {
  Training& training = app.training;
  if (button("Back to the list")) {
    training.stop(app.playing);
    training.page = Training::Page::list;
    training.listed = false;
  }
  tooltip("Every move is saved: the list offers to go on");
  ImGui::SameLine();
  if (button("Projector", 0, true, training.projector)) training.projector = !training.projector;
  tooltip("Large text for the class, and no answers: no hints, nothing that is ruled out, no debrief");
}

void draw_training_list(App& app) {
  Training& training = app.training;
  if (!training.listed) list_training(app);
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const bool wide = room.x > 60 * em();
  if (!wide) choice("training list", {"Exercises", "Lessons, files"}, training.list_tab);
  if (wide || training.list_tab == 0) {
    begin_panel("exercises", {wide ? 0.6f * room.x : 0, 0});
    draw_training_state(app);
    ImGui::BeginDisabled(training.running());
    draw_sessions(app);
    draw_exercises(app);
    ImGui::EndDisabled();
    ImGui::EndChild();
  }
  if (wide) ImGui::SameLine(0, 0.5f * em());
  if (wide || training.list_tab == 1) {
    begin_panel("lessons", {0, 0});
    if (!wide) draw_training_state(app);
    ImGui::BeginDisabled(training.running());
    draw_lessons(app);
    draw_files(app);
    ImGui::EndDisabled();
    say_quietly("All engines, people and words in the exercises are invented. A score is feedback, not a certificate.");
    ImGui::EndChild();
  }
}

void draw_training_view(App& app) {
  switch (app.training.page) {
    case Training::Page::list:
      return draw_training_list(app);
    case Training::Page::play:
      return draw_training_play(app);
    case Training::Page::look_back:
      return draw_training_debrief(app);
    case Training::Page::lesson:
      return draw_training_lesson(app);
  }
}

}  // namespace railseep::gui
