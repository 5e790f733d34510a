#include <unistd.h>

#include <filesystem>
#include <iostream>
#include <memory>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "cli/exercise_play.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/whole_file.hpp"
#include "training/debrief.hpp"
#include "training/lesson.hpp"
#include "training/make_exercise.hpp"
#include "training/session_file.hpp"
#include "training/solver.hpp"

namespace railseep {

namespace {

/// Names of several files made from one: NAME, NAME-2, NAME-3 ...
std::string numbered_name(const std::string& wanted, int number) {
  const std::filesystem::path path(wanted);
  if (number == 1) return wanted;
  return (path.parent_path() / (path.stem().string() + "-" + std::to_string(number) + path.extension().string()))
      .string();
}

int run_make(const ExerciseChoices& choices) {
  Output out(choices.output, {choices.out});
  FaultTables tables(choices);
  const FaultTable& table = tables.of(data_file(choices.circuit));
  const Stories stories = read_stories(data_file(choices.stories));
  for (int i = 0; i < choices.count; ++i) {
    Order order;
    order.circuit = choices.circuit;
    order.faults = choices.faults;
    order.level = choices.level;
    order.seed = choices.seed + static_cast<std::uint64_t>(i);
    order.withheld = choices.withheld;
    Exercise exercise = make_exercise(table, order, stories);
    if (!choices.seal.empty()) seal_exercise(exercise, choices.seal + (i == 0 ? "" : "-" + std::to_string(i + 1)));
    const std::string text = exercise_text(exercise);
    if (choices.out.empty() || choices.out == "-")
      std::cout << text;
    else
      out.file(exercise.name + (exercise.seal.empty() ? "" : "; SHA-256 " + exercise.seal),
               numbered_name(choices.out, i + 1), text);
  }
  return exit_done;
}

Json session_json(const Session& session) {
  Json json{{"exercise", session.exercise().name},
            {"level", session.exercise().level},
            {"ending", word(session.ending())},
            {"money", session.spent()},
            {"currency", session.table().costs.currency},
            {"time_s", session.clock()},
            {"steps", Json::array()}};
  for (const Step& step : session.steps())
    json["steps"].push_back(
        {{"move", move_text(step.move)}, {"told", step.told}, {"money", step.cost.money}, {"time_s", step.cost.time}});
  return json;
}

int run_solve(const ExerciseChoices& choices) {
  Output out(choices.output, {});
  const Exercise exercise = read_exercise(data_file(choices.file));
  FaultTables tables(choices);
  const Session session = solve(tables.of(exercise), exercise);
  print_exercise_head(out.text(), session);
  for (const Step& step : session.steps()) {
    out.text() << "> " << move_text(step.move) << "\n";
    print_exercise_step(out.text(), session, step);
  }
  out.text() << word(session.ending()) << ": " << whole(session.spent()) << " " << session.table().costs.currency
             << ", " << whole(session.clock() / 60) << " min is the par\n";
  Json json = result_head("exercise solved");
  json.update(session_json(session));
  out.json(json);
  return out.code(session.ending() == Ending::solved ? Answered::yes : Answered::no);
}

/// A learner's session and the program's own, which the debrief compares.
struct Played {
  std::unique_ptr<Session> session, par;
  std::string learner;
};

Played played(const std::string& file, FaultTables& tables) {
  const SessionFile kept = parse_session(read_text(file), file);
  const std::string path = data_file(kept.exercise);
  const Exercise exercise = read_exercise(path);
  const FaultTable& table = tables.of(exercise);
  return {std::make_unique<Session>(replay(table, exercise, fingerprint(read_text(path)), kept)),
          std::make_unique<Session>(solve(table, exercise)), kept.learner};
}

Json debriefs_json(const std::vector<Debrief>& debriefs) {
  Json json = result_head("debrief");
  json["sessions"] = Json::array();
  for (const Debrief& one : debriefs) {
    Json session = session_json(one.session);
    session["learner"] = one.learner;
    session["points"] = one.grade.points;
    session["par_money"] = one.par.spent();
    session["par_time_s"] = one.par.clock();
    session["deductions"] = Json::array();
    for (const Deduction& deduction : one.grade.deductions)
      session["deductions"].push_back(
          {{"points", deduction.points}, {"reason", deduction.reason}, {"step", deduction.step}});
    session["practise_next"] = practise_next(one);
    json["sessions"].push_back(std::move(session));
  }
  return json;
}

int run_debrief(const ExerciseChoices& choices) {
  Output out(choices.output, {choices.html, choices.csv});
  if (choices.sessions.size() > 1 && !choices.html.empty())
    throw Error("--html", "several sessions were given", "give one session, or --csv for the class");
  FaultTables tables(choices);
  const Rubric rubric = read_rubric(data_file(choices.rubric));
  std::vector<Played> all;
  for (const std::string& file : choices.sessions) all.push_back(played(file, tables));
  std::vector<Debrief> debriefs;
  for (const Played& one : all) debriefs.emplace_back(*one.session, *one.par, rubric, one.learner);
  const bool alone = debriefs.size() == 1;
  out.text() << (alone ? debrief_text(debriefs.front()) : class_table(debriefs));
  if (!choices.html.empty()) out.file("page", choices.html, debrief_html(debriefs.front()));
  if (!choices.csv.empty()) out.file("table", choices.csv, alone ? debrief_csv(debriefs.front()) : class_csv(debriefs));
  out.json(debriefs_json(debriefs));
  return exit_done;
}

int run_lesson(const ExerciseChoices& choices) {
  Output out(choices.output, {});
  const Lesson lesson = read_lesson(data_file(choices.file));
  const Circuit circuit = read_circuit(data_file(lesson.circuit));
  out.text() << lesson.title << "\n" << wrapped(lesson.opening, "");
  Json json = result_head("lesson");
  json["title"] = lesson.title;
  json["circuit"] = circuit.name;
  json["states"] = Json::array();
  int number = 0;
  for (const LessonState& state : lesson.states) {
    out.text() << "\n" << ++number << ". " << state.title << "\n" << wrapped("   " + state.question, "   ");
    std::string answer;
    if (out.speaks() && isatty(STDIN_FILENO)) ask_line("   What does the class say? ", answer);
    const std::vector<std::string> happens = what_happens(circuit, state, out.units()).lines;
    for (const std::string& line : happens) out.text() << wrapped("   " + line, "     ");
    out.text() << wrapped("   " + state.why, "   ");
    json["states"].push_back(
        {{"title", state.title}, {"question", state.question}, {"happens", happens}, {"why", state.why}});
  }
  out.json(json);
  return exit_done;
}

void add_data(CLI::App& command, ExerciseChoices& choices) {
  command.add_option("--costs", choices.costs, "What work, parts and comebacks cost")->capture_default_str();
  command.add_option("--checks", choices.checks, "Minutes, money and errors of the checks")->capture_default_str();
  command.add_option("--priors", choices.priors, "How likely each kind of fault is beforehand")->capture_default_str();
  add_threads(command, choices.threads);
}

}  // namespace

void add_exercise(CLI::App& program, Run& run) {
  auto choices = std::make_shared<ExerciseChoices>();
  CLI::App* command =
      program.add_subcommand("exercise", "Training: engines with a hidden fault, to make, play and look back on");
  command->require_subcommand(1);

  CLI::App* play = command->add_subcommand("play", "Play an exercise, line by line; goes on where it was left");
  play->add_option("file", choices->file, "Exercise, such as scenarios/exercises/hot-plug.json")->required();
  play->add_option("--session", choices->out,
                   "File that keeps the session; default: NAME.session in sessions of the user's folder for such "
                   "things ($XDG_STATE_HOME/railseep, or ~/.local/state/railseep)");
  add_unit_options(*play, choices->output);
  play->add_option("--learner", choices->learner, "Name or number of who plays");
  add_data(*play, *choices);
  play->callback([choices, &run] { run = [choices] { return run_play(*choices); }; });

  CLI::App* make =
      command->add_subcommand("make", "Make exercises: a fault in, complaint and history composed from data");
  make->add_option(
      "--fault", choices->faults,
      "PLACE: KIND SIZE that is in the engine, such as \"outlet fitting: hole 1 mm\"; may be given again; none: not "
      "the oil side");
  make->add_option("--circuit", choices->circuit, "Circuit file")->capture_default_str();
  make->add_option("--level", choices->level, "0 to 7")->capture_default_str()->check(CLI::Range(0, highest_level));
  make->add_option("--seed", choices->seed, "Of engine, noise and story")->capture_default_str();
  make->add_option("--count", choices->count, "So many, each with the next seed")
      ->capture_default_str()
      ->check(CLI::Range(1, 1000));
  make->add_option("--withhold", choices->withheld, "Check whose tools are not at hand; may be given again");
  make->add_option("--seal", choices->seal, "Hide the fault from who opens the file: any text, used once");
  make->add_option("--out", choices->out, "File, further ones get a number; - or none: standard output");
  add_overwrite(*make, choices->output);
  add_quiet(*make, choices->output);
  make->add_option("--stories", choices->stories, "What stories are composed from")->capture_default_str();
  add_data(*make, *choices);
  make->callback([choices, &run] { run = [choices] { return run_make(*choices); }; });

  CLI::App* solve_it =
      command->add_subcommand("solve", "Let the program play an exercise by its own advice: its cost is the par");
  solve_it->add_option("file", choices->file, "Exercise")->required();
  add_data(*solve_it, *choices);
  add_output_options(*solve_it, choices->output);
  add_verdict(*solve_it, choices->output, "it is solved");
  solve_it->callback([choices, &run] { run = [choices] { return run_solve(*choices); }; });

  CLI::App* debrief = command->add_subcommand("debrief", "Look back on a session; of several, the class table");
  debrief->add_option("sessions", choices->sessions, "Session files")->required();
  debrief->add_option("--html", choices->html,
                      "HTML file: one page that needs nothing from elsewhere; - is standard output");
  debrief->add_option("--csv", choices->csv,
                      "CSV file: a row a move, or of several sessions a row each; - is standard output");
  debrief->add_option("--rubric", choices->rubric, "What each mistake costs")->capture_default_str();
  add_data(*debrief, *choices);
  add_overwrite(*debrief, choices->output);
  add_output_options(*debrief, choices->output);
  debrief->callback([choices, &run] { run = [choices] { return run_debrief(*choices); }; });

  CLI::App* lesson =
      command->add_subcommand("lesson", "Show a lesson: states of an engine, a question to each, and what happens");
  lesson->add_option("file", choices->file, "Lesson, such as scenarios/exercises/lessons/1-what-makes-pressure.json")
      ->required();
  add_output_options(*lesson, choices->output);
  lesson->callback([choices, &run] { run = [choices] { return run_lesson(*choices); }; });
}

}  // namespace railseep
