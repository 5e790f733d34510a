#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "cli/job_choices.hpp"
#include "cli/job_match.hpp"
#include "decide/decide.hpp"
#include "words/shown_units.hpp"

namespace railseep {

/// What `match` and `next` are asked.
struct AnswerChoices {
  JobChoices job;
  std::string priors = "models/priors.json", costs = "models/costs.json", checks = "models/checks.json", out,
              wanted_units;
  std::vector<std::string> done;
  bool json = false, metric = false, pairs = false, why = false, places = false, balance = false, plan = false,
       all = false;
  int threads = 0;

  ShownUnits units() const;
};

/// Files that it goes by, units, threads.
void add_data_options(CLI::App& command, AnswerChoices& choices);

/// Those, the job, and what to print.
void add_answer_options(CLI::App& command, AnswerChoices& choices);

/// A match, and what follows from it.
struct Answer {
  JobMatch matched;
  std::vector<std::string> done;  // ids of checks that are not offered again
  Decision decision;
};

Answer answer(const AnswerChoices& choices, const char* command);

/// The rest of an answer, as far as it is asked for.
void print_rest(const AnswerChoices& choices, const Answer& answer);

/// One screen of at most 30 lines: `match` says where, `next` what to do.
void print_match_screen(const Answer& answer, const AnswerChoices& choices);
void print_next_screen(const Answer& answer, const AnswerChoices& choices);

}  // namespace railseep
