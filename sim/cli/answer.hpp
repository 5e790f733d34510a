#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "cli/job_choices.hpp"
#include "cli/job_match.hpp"
#include "cli/output.hpp"
#include "decide/decide.hpp"

namespace railseep {

/// What `match` and `next` are asked.
struct AnswerChoices {
  JobChoices job;
  std::string priors = "models/priors.json", costs = "models/costs.json", checks = "models/checks.json", out;
  std::vector<std::string> done;
  bool pairs = false, why = false, places = false, balance = false, plan = false, all = false;
  int threads = 0;
  OutputChoices output;
};

/// Files that it goes by, and threads.
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
void print_rest(Output& out, const AnswerChoices& choices, const Answer& answer);

/// One screen of at most 30 lines: `match` says where, `next` what to do.
void print_match_screen(Output& out, const Answer& answer);
void print_next_screen(Output& out, const Answer& answer, const AnswerChoices& choices);

}  // namespace railseep
