#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "cli/output.hpp"
#include "training/session.hpp"

namespace railseep {

/// What the commands below `exercise` are asked.
struct ExerciseChoices {
  std::string file, out, learner, circuit = "models/valley_v8.json", seal, html, csv;
  std::vector<std::string> faults, sessions, withheld;
  std::string costs = "models/costs.json", checks = "models/checks.json", priors = "models/priors.json",
              rubric = "scenarios/exercises/rubric.json", stories = "scenarios/exercises/stories.json";
  int level = 1, threads = 0, count = 1;
  std::uint64_t seed = 1;
  OutputChoices output;
};

/// Tables of what each fault would show are expensive: one for each circuit.
class FaultTables {
 public:
  explicit FaultTables(const ExerciseChoices& choices) : choices_(choices) {}

  const FaultTable& of(const Exercise& exercise);
  const FaultTable& of(const std::string& circuit);

 private:
  const ExerciseChoices& choices_;
  std::map<std::string, std::unique_ptr<FaultTable>> tables_;
};

std::string whole(double value);  // "1072"

/// What the learner is told first, and what came of one move.
void print_exercise_head(std::ostream& text, const Session& session);
void print_exercise_step(std::ostream& text, const Session& session, const Step& step);

/// Asks one line on the terminal or of standard input. @return false at its end
bool ask_line(const std::string& question, std::string& answer);

/// Play an exercise, line by line.
int run_play(const ExerciseChoices& choices);

}  // namespace railseep
