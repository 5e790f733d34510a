#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <string>

#include "quantity/error.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

/// What the program answers with: 0 done, 1 asked for something wrong, 2 bad file or value, or an answer that could not
/// be written (disk full, nobody reads the pipe), 3 something must be told first. With --verdict also: 10 the answer is
/// no, 11 it cannot be said.
enum ExitCode {
  exit_done = 0,
  exit_usage = 1,
  exit_bad_input = 2,
  exit_must_be_told = 3,
  exit_verdict_no = 10,
  exit_verdict_open = 11
};

/// Each command adds itself to the program; `run` is what it does when it is chosen, and gives the exit code.
using Run = std::function<int()>;
void add_calibrate(CLI::App& program, Run& run);
void add_proof(CLI::App& program, Run& run);
void add_cautions(CLI::App& program, Run& run);
void add_new(CLI::App& program, Run& run);
void add_note(CLI::App& program, Run& run);
void add_report(CLI::App& program, Run& run);
void add_shell(CLI::App& program, Run& run);
void add_undo(CLI::App& program, Run& run);
void add_air(CLI::App& program, Run& run);
void add_coil(CLI::App& program, Run& run);
void add_crank(CLI::App& program, Run& run);
void add_hold(CLI::App& program, Run& run);
void add_idle(CLI::App& program, Run& run);
void add_start(CLI::App& program, Run& run);
void add_steps(CLI::App& program, Run& run);
void add_exercise(CLI::App& program, Run& run);
void add_faults(CLI::App& program, Run& run);
void add_limit(CLI::App& program, Run& run);
void add_logs(CLI::App& program, Run& run);
void add_match(CLI::App& program, Run& run);
void add_next(CLI::App& program, Run& run);
void add_repaired(CLI::App& program, Run& run);
void add_curves(CLI::App& program, Run& run);
void add_study(CLI::App& program, Run& run);

/// "railseep 0.1.0".
const char* program_name();

/// A data file by the name a user gives: as it stands, or below the shipped data. @throws Error when neither is there
std::string data_file(const std::string& name);

/// What is read from an option's text; trouble is told with the option's name in front.
template <class Read>
decltype(auto) of_option(const char* option, Read&& read) {
  try {
    return read();
  } catch (const Error& error) {
    throw error.within(option);
  }
}

/// An option's text as a quantity, SI. @throws Error that names the option
double read_option(const std::string& text, Quantity quantity, const char* option);

/// The same, within a range.
double read_option(const std::string& text, const QuantityRange& range, const char* option);

/// Adds --threads to a command: one number for all of them.
void add_threads(CLI::App& command, int& threads, const char* words = "Threads; 0 takes all");

/// Breaks a text into lines; the first keeps its own indent, the others get the given one.
std::string wrapped(const std::string& text, const std::string& indent);

}  // namespace railseep
