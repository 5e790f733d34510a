#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <string>

#include "quantity/quantity.hpp"

namespace railseep {

/// What the program answers with: 0 done, 1 asked for something wrong, 2 bad file or value, or evidence that does not suffice, 3 something must be told first.
enum ExitCode { exit_done = 0, exit_usage = 1, exit_bad_input = 2, exit_must_be_told = 3 };

/// Each command adds itself to the program; `run` is what it does when it is chosen, and gives the exit code.
using Run = std::function<int()>;
void add_calibrate(CLI::App& program, Run& run);
void add_proof(CLI::App& program, Run& run);
void add_air(CLI::App& program, Run& run);
void add_coil(CLI::App& program, Run& run);
void add_crank(CLI::App& program, Run& run);
void add_faults(CLI::App& program, Run& run);
void add_limit(CLI::App& program, Run& run);
void add_logs(CLI::App& program, Run& run);
void add_match(CLI::App& program, Run& run);
void add_next(CLI::App& program, Run& run);
void add_curves(CLI::App& program, Run& run);
void add_study(CLI::App& program, Run& run);

/// A data file by the name a user gives: as it stands, or below the shipped data. @throws Error when neither is there
std::string data_file(const std::string& name);

/// An option's text as a quantity, SI. @throws Error that names the option
double read_option(const std::string& text, Quantity quantity, const char* option);

/// A pressure as the program prints it: psi, or MPa.
std::string pressure(double p, bool metric);

/// Breaks a text into lines; the first keeps its own indent, the others get the given one.
std::string wrapped(const std::string& text, const std::string& indent);

/// "37 %", "<1 %".
std::string percent(double share);

/// The first of out.csv, out-2.csv, out-3.csv ... that is not there yet.
std::string free_name(const std::string& wanted);

}  // namespace railseep
