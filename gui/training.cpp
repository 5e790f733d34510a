#include "training.hpp"

#include <algorithm>
#include <utility>

#include "app.hpp"
#include "circuit/circuit_file.hpp"
#include "data_files.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/whole_file.hpp"
#include "training/solver.hpp"
#include "words/letterhead.hpp"

namespace railseep::gui {

namespace fs = std::filesystem;

namespace {

constexpr const char* exercise_folder = "scenarios/exercises/";

std::vector<std::string> json_files(const fs::path& folder) {
  std::vector<std::string> files;
  std::error_code none;
  for (auto at = fs::directory_iterator(folder, none); at != fs::directory_iterator(); at.increment(none))
    if (at->path().extension() == ".json") files.push_back(at->path().filename().string());
  std::ranges::sort(files);
  return files;
}

/// The shipped ones, by level. What is no exercise in that folder is left out.
std::vector<ListedExercise> shipped_exercises() {
  std::vector<ListedExercise> all;
  const fs::path folder = fs::path(data_file(std::string(exercise_folder) + "rubric.json")).parent_path();
  for (const std::string& name : json_files(folder)) {
    const Json json = read_json((folder / name).string());
    if (!json.is_object() || json.value("railseep", "") != "exercise") continue;
    const Exercise exercise = read_exercise((folder / name).string());
    all.push_back({exercise_folder + name, exercise.name, exercise.complaint, exercise.level});
  }
  std::ranges::stable_sort(all, {}, &ListedExercise::level);
  return all;
}

std::vector<ListedLesson> shipped_lessons() {
  std::vector<ListedLesson> all;
  const std::string folder = std::string(exercise_folder) + "lessons/";
  const fs::path first = fs::path(data_file(std::string(exercise_folder) + "rubric.json")).parent_path() / "lessons";
  for (const std::string& name : json_files(first))
    all.push_back({folder + name, read_lesson((first / name).string()).title});
  return all;
}

/// Those that were kept, the newest first. One that cannot be read is left out: it can still be opened as a file, which
/// says why.
std::vector<ListedSession> kept_sessions(const fs::path& folder) {
  std::vector<std::pair<fs::file_time_type, ListedSession>> found;
  std::error_code none;
  for (auto at = fs::directory_iterator(folder, none); at != fs::directory_iterator(); at.increment(none)) {
    if (at->path().extension() != ".session") continue;
    try {
      const std::string file = at->path().string();
      const SessionFile kept = parse_session(read_text(file), file);
      found.emplace_back(at->last_write_time(none), ListedSession{file, read_exercise(data_file(kept.exercise)).name,
                                                                  kept.learner, kept.moves.size()});
    } catch (const Error&) {
      continue;
    }
  }
  std::ranges::stable_sort(found, [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<ListedSession> all;
  for (auto& [time, session] : found) all.push_back(std::move(session));
  return all;
}

std::string circuit_of(const Exercise& exercise) {
  const fs::path beside = fs::path(exercise.folder) / exercise.circuit;
  std::error_code none;
  return fs::exists(beside, none) ? beside.string() : data_file(exercise.circuit);
}

std::shared_ptr<const FaultTable> table_for(const std::string& circuit, const ShownUnits& units, Progress& progress,
                                            const Worker::Cancelled& cancelled) {
  FaultTableOptions options;
  options.tick = [&](std::size_t done, std::size_t all) {
    progress.tell(done, all, "what each fault would show on this engine", cancelled);
  };
  options.units = units;
  options.kept_in = cache_folder().string();
  return std::make_shared<const FaultTable>(
      fault_table(read_circuit(circuit), read_priors(data_file("models/priors.json")),
                  read_costs(data_file("models/costs.json")), read_checks(data_file("models/checks.json")), options));
}

/// What is ready once a session can go on.
struct Begun {
  std::string file, on_disk, circuit;
  SessionFile kept;
  std::shared_ptr<const FaultTable> table;
  std::shared_ptr<const Played> played;
};

void take_session(App& app, const Begun& begun) {
  Training& training = app.training;
  training.tables[begun.circuit] = begun.table;
  training.file = begun.file;
  training.on_disk = begun.on_disk;
  training.kept = begun.kept;
  training.played = begun.played;
  training.looked_back = nullptr;
  training.draft = {};
  training.tab = 0;
  training.page = Training::Page::play;
  training.circuit = std::make_shared<const Circuit>(begun.table->circuit);
  training.sight = {};
  training.diagram = {};
  training.diagram.only_places = true;
}

/// @param file of the session; what it holds is kept
void start_session(App& app, const std::string& file, const SessionFile& kept, const std::string& on_disk) {
  Training& training = app.training;
  training.begin(
      app.playing,
      [file, kept, on_disk, tables = training.tables, units = app.settings.units](Progress& progress,
                                                                                  const Worker::Cancelled& cancelled) {
        const std::string path = data_file(kept.exercise);
        const Exercise exercise = read_exercise(path);
        Begun begun{file, on_disk, circuit_of(exercise), kept, nullptr, nullptr};
        const auto known = tables.find(begun.circuit);
        begun.table = known != tables.end() && known->second->units == units
                          ? known->second
                          : table_for(begun.circuit, units, progress, cancelled);
        begun.played = std::make_shared<const Played>(
            Played{begun.table, replay(*begun.table, exercise, fingerprint(read_text(path)), kept)});
        return begun;
      },
      [&app](const Begun& begun) {
        take_session(app, begun);
        if (begun.played->session.over()) look_back(app);
      });
}

/// A name with what a file name can hold.
std::string in_file_name(const std::string& words) {
  constexpr std::size_t longest = 40;  // [bytes]
  std::string name;
  for (const char c : words)
    if (std::isalnum(static_cast<unsigned char>(c)) || c == '-' || c == '_') name += c;
  return name.substr(0, longest);
}

}  // namespace

fs::path session_folder(const App& app) {
  const fs::path folder = app.settings_path.empty() ? settings_folder() : app.settings_path.parent_path();
  return folder.empty() ? fs::path("sessions") : folder / "sessions";
}

void list_training(App& app) {
  Training& training = app.training;
  training.listed = true;
  attempt(app, [&] {
    training.exercises = shipped_exercises();
    training.lessons = shipped_lessons();
    training.sessions = kept_sessions(session_folder(app));
  });
}

void begin_exercise(App& app, const std::string& exercise) {
  attempt(app, [&] {
    SessionFile kept{exercise, fingerprint(read_text(data_file(exercise))), app.training.learner, {}};
    const std::string who = in_file_name(kept.learner);
    const std::string name = fs::path(exercise).stem().string() + (who.empty() ? "" : "-" + who) + ".session";
    start_session(app, free_name(session_folder(app) / name).string(), kept, "");
  });
}

void resume_session(App& app, const std::string& session) {
  attempt(app, [&] {
    const std::string text = read_text(session);
    const SessionFile kept = parse_session(text, session);
    app.training.learner = kept.learner;
    start_session(app, session, kept, fingerprint(text));
  });
}

void play_move(App& app, const Move& move) {
  Training& training = app.training;
  if (!training.played || training.running() || training.played->session.over()) return;
  struct Moved {
    std::shared_ptr<const Played> played;
    SessionFile kept;
    std::string on_disk;
  };
  training.begin(
      app.playing,
      [move, played = training.played, kept = training.kept, file = training.file, was = training.on_disk](
          Progress&, const Worker::Cancelled&) {
        auto next = std::make_shared<Played>(*played);
        next->session.play(move);
        Moved moved{next, kept, ""};
        moved.kept.moves.push_back(move);
        const std::string text = session_text(moved.kept);
        make_folder(fs::path(file).parent_path().string());
        write_text(file, text, !was.empty(), was.empty() ? std::nullopt : std::optional(was));
        moved.on_disk = fingerprint(text);
        return moved;
      },
      [&app](const Moved& moved) {
        Training& now = app.training;
        now.played = moved.played;
        now.kept = moved.kept;
        now.on_disk = moved.on_disk;
        now.draft.action.clear();
        now.draft.expect.clear();
        if (now.played->session.over()) look_back(app);
      });
}

void look_back(App& app) {
  Training& training = app.training;
  if (!training.played) return;
  training.page = Training::Page::look_back;
  training.tab = 0;
  training.begin(
      app.playing,
      [played = training.played, learner = training.kept.learner](Progress& progress,
                                                                  const Worker::Cancelled& cancelled) {
        const Rubric rubric = read_rubric(data_file(std::string(exercise_folder) + "rubric.json"));
        const auto tell = [&](const Session& own) {
          progress.tell(own.steps().size(), 0, "the program plays it in its own way", cancelled);
        };
        constexpr std::size_t most_moves = 60;
        auto par = std::make_shared<const Played>(
            Played{played->table, solve(*played->table, played->session.exercise(), most_moves, tell)});
        return std::make_shared<const LookedBack>(LookedBack{
            played, par, Debrief(played->session, par->session, rubric, learner), crank_curves(played->session)});
      },
      [&training](const std::shared_ptr<const LookedBack>& looked_back) {
        training.looked_back = looked_back;
        for (const PlotCurve& curve : looked_back->cranks)
          if (!curve.x.empty()) training.axis.cover(0, curve.x.back());
        training.axis.fit();
      });
}

void begin_lesson(App& app, const std::string& file) {
  attempt(app, [&] {
    Teaching teaching;
    teaching.lesson = read_lesson(data_file(file));
    teaching.circuit = std::make_shared<const Circuit>(read_circuit(data_file(teaching.lesson.circuit)));
    teaching.diagram.only_places = true;
    app.training.teaching = std::move(teaching);
    app.training.page = Training::Page::lesson;
    show_state(app.training.teaching, 0);
  });
}

void show_state(Teaching& teaching, std::size_t state) {
  teaching.state = std::min(state, teaching.lesson.states.size() - 1);
  teaching.prediction.clear();
  teaching.shown.reset();
  if (teaching.sight.now) teaching.sight.before = teaching.sight.now;
  teaching.sight.now = nullptr;
  teaching.sight.question.faults.clear();
  for (const std::string& fault : teaching.lesson.states[teaching.state].faults)
    teaching.sight.question.faults.push_back(parse_fault(fault, *teaching.circuit));
}

void show_what_happens(App& app) {
  Teaching& teaching = app.training.teaching;
  app.training.begin(
      app.playing,
      [circuit = teaching.circuit, state = teaching.lesson.states[teaching.state], units = app.settings.units](
          Progress&, const Worker::Cancelled&) { return what_happens(*circuit, state, units); },
      [&teaching, at = teaching.state](const LessonShown& shown) {
        if (teaching.state != at) return;
        teaching.shown = shown;
        if (!shown.trace) return;
        auto curve = std::make_shared<Curve>();
        curve->question = teaching.sight.question;
        curve->trace = *shown.trace;
        teaching.sight.axis.cover(0, shown.trace->time.back());
        teaching.sight.axis.fit();
        teaching.sight.time = shown.trace->time.back();
        teaching.sight.now = curve;
      });
}

}  // namespace railseep::gui
