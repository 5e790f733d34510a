#include <unistd.h>

#include <algorithm>
#include <deque>
#include <filesystem>
#include <iostream>
#include <memory>
#include <random>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "procedure/cautions.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/whole_file.hpp"
#include "training/debrief.hpp"
#include "training/lesson.hpp"
#include "training/make_exercise.hpp"
#include "training/session_file.hpp"
#include "training/solver.hpp"
#include "training/suspicion.hpp"

namespace railseep {

namespace {

struct ExerciseChoices {
  std::string file, out, learner, circuit = "models/valley_v8.json", seal, html, csv;
  std::vector<std::string> faults, sessions, withheld;
  std::string costs = "models/costs.json", checks = "models/checks.json", priors = "models/priors.json",
              rubric = "scenarios/exercises/rubric.json", stories = "scenarios/exercises/stories.json";
  int level = 1, threads = 0, count = 1;
  std::uint64_t seed = 1;
  bool guided = false;
};

std::string rounded(double value) { return std::to_string(static_cast<long long>(std::llround(value))); }

/// Tables are dear: one for each circuit.
class Tables {
 public:
  explicit Tables(const ExerciseChoices& choices) : choices_(choices) {}

  const FaultTable& of(const Exercise& exercise) {
    const std::filesystem::path beside = std::filesystem::path(exercise.folder) / exercise.circuit;
    std::error_code trouble;
    return of(std::filesystem::exists(beside, trouble) ? beside.string() : data_file(exercise.circuit));
  }

  const FaultTable& of(const std::string& circuit) {
    std::unique_ptr<FaultTable>& table = tables_[circuit];
    if (!table) {
      const bool watched = isatty(STDERR_FILENO);
      table = std::make_unique<FaultTable>(fault_table(
          read_circuit(circuit), read_priors(data_file(choices_.priors)), read_costs(data_file(choices_.costs)),
          read_checks(data_file(choices_.checks)), choices_.threads, 6, [watched](std::size_t done, std::size_t all) {
            if (watched)
              std::cerr << "\rcomputing what each fault would show: " << done << " of " << all
                        << (done == all ? "\n" : "") << std::flush;
          }));
    }
    return *table;
  }

 private:
  const ExerciseChoices& choices_;
  std::map<std::string, std::unique_ptr<FaultTable>> tables_;
};

void print_numbered(const std::string& title, const std::vector<std::string>& names) {
  std::cout << title << "\n";
  for (const std::string& name : names) std::cout << "  " << name << "\n";
}

void print_head(const Session& session) {
  const Exercise& exercise = session.exercise();
  std::cout << exercise.name << ", level " << exercise.level << " (" << level_words(exercise.level) << ")\n"
            << wrapped("Complaint: " + exercise.complaint, "  ") << "Engine: " << session.table().circuit.name
            << "; shop time " << rounded(exercise.clock / 60) << " min, money " << rounded(exercise.money) << " "
            << session.table().costs.currency << "\n";
  if (!exercise.seal.empty()) std::cout << "Sealed: SHA-256 " << exercise.seal << "\n";
  std::cout
      << "Type a move; \"help\" lists moves, \"list\" checks, covers, parts and suspicions. Every move is saved.\n";
}

void print_help() {
  for (const MoveWord& known : move_words()) {
    const std::string left =
        std::string(known.word) + (known.arguments.empty() ? "" : " ") + std::string(known.arguments);
    std::cout << "  " << left << std::string(left.size() < 38 ? 38 - left.size() : 1, ' ') << known.meaning << "\n";
  }
  std::cout << "  help, list, status, quit                these cost nothing\n"
            << wrapped(
                   "  Behind a move may stand \"; suspect ...\" and \"; expect ...\"; else both are asked before it "
                   "costs anything. An expectation is a range (200-400 psi, over 1500) or words of an outcome.",
                   "  ");
}

void print_list(const Session& session) {
  std::cout << "Checks\n";
  for (const std::string& id : session.checks()) {
    const Check& check = session.table().find(id)->check;
    std::cout << "  " << id << ": " << check.name << " (" << rounded(check.time / 60) << " min)\n";
  }
  std::vector<std::string> names;
  for (const WorkGroup& group : session.table().belief.groups)
    names.push_back(group.name + " (" + rounded(group.cost.time / 60) + " min, " + rounded(group.cost.money) + ")");
  print_numbered("Covers, and work besides", names);
  names.clear();
  for (const Part& part : session.parts())
    names.push_back(part.name + " (" + rounded(part.cost.money) + "; behind: " + part.group + ")");
  print_numbered("Parts", names);
  print_numbered("Suspicions", suspicions(session.table().belief));
}

void print_status(const Session& session) {
  const BayState& state = session.bay().state();
  std::cout << "  " << rounded(session.clock() / 60) << " min and " << rounded(session.spent())
            << " money used; oil at " << format_quantity(state.oil_temperature, Quantity::temperature, "degC", 2)
            << ", batteries rest at "
            << format_quantity(state.battery * session.table().circuit.starter.voltage, Quantity::voltage, "V", 3);
  for (const std::string& group : session.open()) std::cout << "; open: " << group;
  std::cout << "\n";
}

void print_step(const Session& session, const Step& step) {
  for (const std::string& line : step.told) std::cout << wrapped("  " + line, "    ");
  if (step.as_expected)
    std::cout << (*step.as_expected ? "  That is as you expected.\n" : "  That is not as you expected.\n");
  if (!step.ruled_out.empty()) std::cout << wrapped("  " + step.ruled_out, "    ");
  std::cout << "  [" << rounded(step.cost.time / 60) << " min, " << rounded(step.cost.money) << "; in all "
            << rounded(session.clock() / 60) << " min, " << rounded(session.spent()) << "]\n";
}

/// Cautions of a check or a cover, before it is done.
void print_cautions(const Session& session, const Move& move) {
  std::vector<std::string> needed;
  if (move.verb == "crank" || move.verb == "prove") needed = {"crank"};
  if (move.verb == "open") needed = {"opening"};
  for (const std::string& id : session.checks())
    if (move.verb == "check" && !move.what.empty() && move.what.starts_with(id))
      needed = session.table().find(id)->check.cautions;
  std::string names;
  for (const std::string& word : needed)
    for (const Caution& caution : cautions())
      if (caution.when == word) names += (names.empty() ? "" : ", ") + std::string(caution.id);
  if (!names.empty()) std::cout << wrapped("  ! Mind: " + names, "    ");
}

bool ask_line(const std::string& question, std::string& answer) {
  std::cout << question << std::flush;
  return static_cast<bool>(std::getline(std::cin, answer));
}

/// The suspicion that was typed, or the one that was meant; empty: none was.
std::string named_suspicion(const Session& session, const std::string& typed) {
  std::string found;
  for (const std::string& suspicion : suspicions(session.table().belief)) {
    if (suspicion == typed) return suspicion;
    if (!typed.empty() && suspicion.find(typed) != std::string::npos) {
      if (!found.empty()) return "";
      found = suspicion;
    }
  }
  return found;
}

/// Suspicion and expectation, where the move costs something and they were not typed with it. What names no suspicion
/// is asked again, once; an empty line leaves it unsaid.
void complete(const Session& session, Move& move) {
  const auto known = std::ranges::find(move_words(), move.verb, &MoveWord::word);
  if (known == move_words().end() || !known->paid) return;
  if (move.suspect.empty()) ask_line("  What do you suspect most? ", move.suspect);
  if (!move.suspect.empty() && named_suspicion(session, move.suspect).empty()) {
    std::cout << "  That names none of these, or more than one:";
    for (const std::string& suspicion : suspicions(session.table().belief)) std::cout << " | " << suspicion;
    std::cout << "\n";
    ask_line("  What do you suspect most? ", move.suspect);
  }
  move.suspect = named_suspicion(session, move.suspect);
  if (!move.expect.empty()) return;
  const Forecast* forecast = move.verb == "check" ? session.table().find(move.what) : nullptr;
  if (forecast && forecast->ranges) {
    std::cout << "  It is a number in " << forecast->ranges->unit << ".\n";
  } else if (forecast) {
    std::cout << "  It can show:";
    for (const std::string& outcome : forecast->outcomes) std::cout << " | " << outcome;
    std::cout << "\n";
  }
  ask_line("  What do you expect? ", move.expect);
}

int run_play(const ExerciseChoices& choices) {
  const std::string path = data_file(choices.file);
  const std::string print = fingerprint(read_text(path));
  const Exercise exercise = read_exercise(path);
  Tables tables(choices);
  const FaultTable& table = tables.of(exercise);
  const std::string out =
      choices.out.empty() ? std::filesystem::path(choices.file).stem().string() + ".session" : choices.out;

  SessionFile kept{choices.file, print, choices.learner, {}};
  std::optional<std::string> was;
  if (std::error_code trouble; std::filesystem::exists(out, trouble)) {
    kept = parse_session(read_text(out), out);
    was = file_fingerprint(out);
  }
  Session session = replay(table, exercise, print, kept);
  print_head(session);
  if (!kept.moves.empty()) {
    std::cout << "Goes on from " << out << ", " << kept.moves.size() << " moves:\n";
    for (const Step& step : session.steps()) {
      std::cout << "> " << move_text(step.move) << "\n";
      print_step(session, step);
    }
  }
  std::string line;
  while (!session.over() && ask_line("> ", line)) {
    if (line.find_first_not_of(" \t\r") == std::string::npos || line.starts_with("#")) continue;
    if (line == "quit") break;
    if (line == "help") {
      print_help();
    } else if (line == "list") {
      print_list(session);
    } else if (line == "status") {
      print_status(session);
    } else {
      try {
        Move move = parse_move(line);
        print_cautions(session, move);
        complete(session, move);
        const Step& step = session.play(move);
        print_step(session, step);
        kept.moves.push_back(move);
        const std::string text = session_text(kept);
        write_text(out, text, true, was);
        was = fingerprint(text);
      } catch (const Error& error) {
        if (error.place() != "move") throw;
        std::cout << wrapped(std::string("  ") + error.what(), "    ");
      }
    }
  }
  if (session.over())
    std::cout << "\n"
              << wrapped(std::string(word(session.ending())) + ". " + session.why_over(), "  ")
              << "The debrief: railseep exercise debrief " << out << "\n";
  else
    std::cout << "\nSaved in " << out << "; the same command goes on.\n";
  return exit_done;
}

int run_make(const ExerciseChoices& choices) {
  Tables tables(choices);
  const FaultTable& table = tables.of(data_file(choices.circuit));
  const Stories stories = read_stories(data_file(choices.stories));
  for (int i = 0; i < choices.count; ++i) {
    Order order;
    order.circuit = choices.circuit, order.faults = choices.faults, order.level = choices.level;
    order.seed = choices.seed + static_cast<std::uint64_t>(i), order.withheld = choices.withheld;
    Exercise exercise = make_exercise(table, order, stories);
    if (!choices.seal.empty()) seal_exercise(exercise, choices.seal + (i == 0 ? "" : "-" + std::to_string(i + 1)));
    const std::string text = exercise_text(exercise);
    if (choices.out.empty()) {
      std::cout << text;
    } else {
      const std::string name = free_name(choices.out);
      write_text(name, text, false);
      std::cout << name << ": " << exercise.name << (exercise.seal.empty() ? "" : "; SHA-256 " + exercise.seal) << "\n";
    }
  }
  return exit_done;
}

int run_solve(const ExerciseChoices& choices) {
  const Exercise exercise = read_exercise(data_file(choices.file));
  Tables tables(choices);
  const Session session = solve(tables.of(exercise), exercise);
  print_head(session);
  for (const Step& step : session.steps()) {
    std::cout << "> " << move_text(step.move) << "\n";
    print_step(session, step);
  }
  std::cout << word(session.ending()) << ": " << rounded(session.spent()) << " money, " << rounded(session.clock() / 60)
            << " min is the par\n";
  return exit_done;
}

/// A learner's session and the program's own, which the debrief compares.
struct Played {
  std::unique_ptr<Session> session, par;
  std::string learner;
};

Played played(const std::string& file, Tables& tables) {
  const SessionFile kept = parse_session(read_text(file), file);
  const std::string path = data_file(kept.exercise);
  const Exercise exercise = read_exercise(path);
  const FaultTable& table = tables.of(exercise);
  return {std::make_unique<Session>(replay(table, exercise, fingerprint(read_text(path)), kept)),
          std::make_unique<Session>(solve(table, exercise)), kept.learner};
}

int run_debrief(const ExerciseChoices& choices) {
  Tables tables(choices);
  const Rubric rubric = read_rubric(data_file(choices.rubric));
  std::vector<Played> all;
  for (const std::string& file : choices.sessions) all.push_back(played(file, tables));
  std::vector<Debrief> debriefs;
  for (const Played& one : all) debriefs.emplace_back(*one.session, *one.par, rubric, one.learner);
  if (debriefs.size() == 1) {
    std::cout << debrief_text(debriefs.front());
    if (!choices.html.empty()) write_text(choices.html, debrief_html(debriefs.front()), false);
    if (!choices.csv.empty()) write_text(choices.csv, debrief_csv(debriefs.front()), false);
    return exit_done;
  }
  if (!choices.html.empty())
    throw Error("--html", "several sessions were given", "give one session, or --csv for the class");
  std::cout << class_table(debriefs);
  if (!choices.csv.empty()) write_text(choices.csv, class_csv(debriefs), false);
  return exit_done;
}

int run_lesson(const ExerciseChoices& choices) {
  const Lesson lesson = read_lesson(data_file(choices.file));
  const Circuit circuit = read_circuit(data_file(lesson.circuit));
  std::cout << lesson.title << "\n" << wrapped(lesson.opening, "");
  int number = 0;
  for (const LessonState& state : lesson.states) {
    std::cout << "\n" << ++number << ". " << state.title << "\n" << wrapped("   " + state.question, "   ");
    std::string answer;
    if (isatty(STDIN_FILENO)) ask_line("   What does the class say? ", answer);
    for (const std::string& line : what_happens(circuit, state).lines) std::cout << wrapped("   " + line, "     ");
    std::cout << wrapped("   " + state.why, "   ");
  }
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
  play->add_option("--session", choices->out, "File that keeps the session; default: NAME.session in this folder");
  play->add_option("--learner", choices->learner, "Name or number of who plays");
  add_data(*play, *choices);
  play->callback([choices, &run] { run = [choices] { return run_play(*choices); }; });

  CLI::App* make =
      command->add_subcommand("make", "Make exercises: a fault in, complaint and history composed from data");
  make->add_option("--fault", choices->faults,
                   "Such as \"outlet fitting: hole 1 mm\"; may be given twice; none: not the oil side");
  make->add_option("--circuit", choices->circuit, "Circuit file")->capture_default_str();
  make->add_option("--level", choices->level, "0 to 7")->capture_default_str()->check(CLI::Range(0, highest_level));
  make->add_option("--seed", choices->seed, "Of engine, noise and story")->capture_default_str();
  make->add_option("--count", choices->count, "So many, each with the next seed")
      ->capture_default_str()
      ->check(CLI::Range(1, 1000));
  make->add_option("--withhold", choices->withheld, "Check whose tools are not at hand; may be given again");
  make->add_option("--seal", choices->seal, "Hide the fault from who opens the file: any text, used once");
  make->add_option("--out", choices->out, "File; further ones get a number. None: print");
  make->add_option("--stories", choices->stories, "What stories are composed from")->capture_default_str();
  add_data(*make, *choices);
  make->callback([choices, &run] { run = [choices] { return run_make(*choices); }; });

  CLI::App* solve_it =
      command->add_subcommand("solve", "Let the program play an exercise by its own advice: its cost is the par");
  solve_it->add_option("file", choices->file, "Exercise")->required();
  add_data(*solve_it, *choices);
  solve_it->callback([choices, &run] { run = [choices] { return run_solve(*choices); }; });

  CLI::App* debrief = command->add_subcommand("debrief", "Look back on a session; of several, the class table");
  debrief->add_option("sessions", choices->sessions, "Session files")->required();
  debrief->add_option("--html", choices->html, "Write one page that needs nothing from elsewhere");
  debrief->add_option("--csv", choices->csv, "Write a table: a row a move, or of several sessions a row each");
  debrief->add_option("--rubric", choices->rubric, "What each mistake costs")->capture_default_str();
  add_data(*debrief, *choices);
  debrief->callback([choices, &run] { run = [choices] { return run_debrief(*choices); }; });

  CLI::App* lesson =
      command->add_subcommand("lesson", "Show a lesson: states of an engine, a question to each, and what happens");
  lesson->add_option("file", choices->file, "Lesson, such as scenarios/exercises/lessons/1-what-makes-pressure.json")
      ->required();
  lesson->callback([choices, &run] { run = [choices] { return run_lesson(*choices); }; });
}

}  // namespace railseep
