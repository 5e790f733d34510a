#include "cli/exercise_play.hpp"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iostream>

#include "circuit/circuit_file.hpp"
#include "cli/commands.hpp"
#include "procedure/cautions.hpp"
#include "quantity/fingerprint.hpp"
#include "quantity/whole_file.hpp"
#include "training/session_file.hpp"
#include "training/suspicion.hpp"
#include "words/letterhead.hpp"

namespace railseep {

namespace {

namespace fs = std::filesystem;

void print_names(const std::string& title, const std::vector<std::string>& names) {
  std::cout << title << "\n";
  for (const std::string& name : names) std::cout << "  " << name << "\n";
}

void print_moves() {
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

void print_what_there_is(const Session& session) {
  std::cout << "Checks\n";
  for (const std::string& id : session.checks()) {
    const Check& check = session.table().find(id)->check;
    std::cout << "  " << id << ": " << check.name << " (" << whole(check.time / 60) << " min)\n";
  }
  std::vector<std::string> names;
  for (const WorkGroup& group : session.table().belief.groups)
    names.push_back(group.name + " (" + whole(group.cost.time / 60) + " min, " + whole(group.cost.money) + ")");
  print_names("Covers, and work besides", names);
  names.clear();
  for (const Part& part : session.parts())
    names.push_back(part.name + " (" + whole(part.cost.money) + "; behind: " + part.group + ")");
  print_names("Parts", names);
  print_names("Suspicions", suspicions(session.table().belief));
}

void print_where_one_stands(const Session& session) {
  const BayState& state = session.bay().state();
  std::cout << "  " << whole(session.clock() / 60) << " min and " << whole(session.spent()) << " "
            << session.table().costs.currency << " used; oil at "
            << format_quantity(state.oil_temperature, Quantity::temperature, "degC", 2) << ", batteries rest at "
            << format_quantity(state.battery * session.table().circuit.starter.voltage, Quantity::voltage, "V", 3);
  for (const std::string& group : session.open()) std::cout << "; open: " << group;
  std::cout << "\n";
}

/// Cautions of a check or a cover, before it is done.
void print_cautions_of_move(const Session& session, const Move& move) {
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

/// Where a session is kept unless a place is named: the exercise's name in the user's own folder for such things.
std::string session_place(const ExerciseChoices& choices) {
  if (!choices.out.empty()) return choices.out;
  const fs::path folder = state_folder();
  if (folder.empty())
    throw Error("--session", "there is no home folder to keep the session in", "name a file to keep it in");
  make_folder((folder / "sessions").string());
  return (folder / "sessions" / fs::path(choices.file).stem()).string() + ".session";
}

/// An exercise as a session names it: a shipped one by its name, so that another machine finds it; others by their full
/// path, since the session may be kept elsewhere.
std::string lasting_name(const std::string& file) {
  if (fs::path(file).is_absolute()) return file;
  for (const char* shipped : {RAILSEEP_SOURCE_DATA_DIR, RAILSEEP_INSTALLED_DATA_DIR})
    if (std::error_code none; fs::exists(fs::path(shipped) / file, none)) return file;
  return fs::absolute(file).lexically_normal().string();
}

/// A session that is being played and kept: every move is on the disk before the next is asked.
class KeptSession {
 public:
  KeptSession(std::string place, SessionFile begun) : place_(std::move(place)), kept_(std::move(begun)) {
    std::error_code trouble;
    if (!fs::exists(place_, trouble)) return;
    kept_ = parse_session(read_text(place_), place_);
    was_ = file_fingerprint(place_);
  }

  const SessionFile& file() const { return kept_; }
  const std::string& place() const { return place_; }

  void add(const Move& move) {
    kept_.moves.push_back(move);
    const std::string text = session_text(kept_);
    write_text(place_, text, true, was_);
    was_ = fingerprint(text);
  }

 private:
  std::string place_;
  SessionFile kept_;
  std::optional<std::string> was_;
};

void play_move(Session& session, KeptSession& kept, const std::string& line) {
  try {
    Move move = parse_move(line);
    print_cautions_of_move(session, move);
    complete(session, move);
    const Step& step = session.play(move);
    print_exercise_step(std::cout, session, step);
    kept.add(move);
  } catch (const Error& error) {
    if (error.place() != "move") throw;
    std::cout << wrapped(std::string("  ") + error.what(), "    ");
  }
}

/// Lines until the session is over, or no more come.
void play_lines(Session& session, KeptSession& kept) {
  std::string line;
  while (!session.over() && ask_line("> ", line)) {
    if (line.find_first_not_of(" \t\r") == std::string::npos || line.starts_with("#")) continue;
    if (line == "quit") return;
    if (line == "help")
      print_moves();
    else if (line == "list")
      print_what_there_is(session);
    else if (line == "status")
      print_where_one_stands(session);
    else
      play_move(session, kept, line);
  }
}

}  // namespace

const FaultTable& FaultTables::of(const Exercise& exercise) {
  const fs::path beside = fs::path(exercise.folder) / exercise.circuit;
  std::error_code trouble;
  return of(fs::exists(beside, trouble) ? beside.string() : data_file(exercise.circuit));
}

const FaultTable& FaultTables::of(const std::string& circuit) {
  std::unique_ptr<FaultTable>& table = tables_[circuit];
  if (table) return *table;
  const auto tick = [watched = isatty(STDERR_FILENO) != 0](std::size_t done, std::size_t all) {
    if (watched)
      std::cerr << "\rcomputing what each fault would show: " << done << " of " << all << (done == all ? "\n" : "")
                << std::flush;
  };
  Costs costs = read_costs(data_file(choices_.costs));
  if (const std::string currency = chosen_currency(); !currency.empty()) costs.currency = currency;
  table = std::make_unique<FaultTable>(fault_table(
      read_circuit(circuit), read_priors(data_file(choices_.priors)), costs, read_checks(data_file(choices_.checks)),
      {choices_.threads, 6, tick, choices_.output.units(), cache_folder().string()}));
  return *table;
}

std::string whole(double value) { return std::to_string(static_cast<long long>(std::llround(value))); }

void print_exercise_head(std::ostream& text, const Session& session) {
  const Exercise& exercise = session.exercise();
  text << exercise.name << ", level " << exercise.level << " (" << level_words(exercise.level) << ")\n"
       << wrapped("Complaint: " + exercise.complaint, "  ") << "Engine: " << session.table().circuit.name
       << "; shop time " << whole(exercise.clock / 60) << " min, money " << whole(exercise.money) << " "
       << session.table().costs.currency << "\n";
  if (!exercise.seal.empty()) text << "Sealed: SHA-256 " << exercise.seal << "\n";
}

void print_exercise_step(std::ostream& text, const Session& session, const Step& step) {
  for (const std::string& line : step.told) text << wrapped("  " + line, "    ");
  if (step.as_expected)
    text << (*step.as_expected ? "  That is as you expected.\n" : "  That is not as you expected.\n");
  if (!step.ruled_out.empty()) text << wrapped("  " + step.ruled_out, "    ");
  text << "  [" << whole(step.cost.time / 60) << " min, " << whole(step.cost.money) << "; in all "
       << whole(session.clock() / 60) << " min, " << whole(session.spent()) << "]\n";
}

bool ask_line(const std::string& question, std::string& answer) {
  std::cout << question << std::flush;
  return static_cast<bool>(std::getline(std::cin, answer));
}

int run_play(const ExerciseChoices& choices) {
  const std::string path = data_file(choices.file);
  const std::string print = fingerprint(read_text(path));
  const Exercise exercise = read_exercise(path);
  FaultTables tables(choices);
  const FaultTable& table = tables.of(exercise);
  KeptSession kept(session_place(choices), {lasting_name(choices.file), print, choices.learner, {}});
  Session session = replay(table, exercise, print, kept.file());
  print_exercise_head(std::cout, session);
  std::cout
      << "Type a move; \"help\" lists moves, \"list\" checks, covers, parts and suspicions. Every move is saved in "
      << kept.place() << "\n";
  if (!kept.file().moves.empty()) {
    std::cout << "Goes on from there, " << kept.file().moves.size() << " moves:\n";
    for (const Step& step : session.steps()) {
      std::cout << "> " << move_text(step.move) << "\n";
      print_exercise_step(std::cout, session, step);
    }
  }
  play_lines(session, kept);
  if (session.over())
    std::cout << "\n"
              << wrapped(std::string(word(session.ending())) + ". " + session.why_over(), "  ")
              << "The debrief: railseep exercise debrief " << kept.place() << "\n";
  else
    std::cout << "\nSaved in " << kept.place() << "; the same command goes on.\n";
  return exit_done;
}

}  // namespace railseep
