#include <csignal>
#include <exception>
#include <filesystem>
#include <iostream>
#include <new>
#include <sstream>

#include "cli/commands.hpp"
#include "fit/in_parallel.hpp"
#include "quantity/error.hpp"
#include "words/program.hpp"

namespace railseep {

const char* program_name() { return program_and_version; }

std::string data_file(const std::string& name) {
  namespace fs = std::filesystem;
  if (name == "-") return name;
  for (const char* folder : {"", RAILSEEP_SOURCE_DATA_DIR, RAILSEEP_INSTALLED_DATA_DIR}) {
    const fs::path path = fs::path(folder) / name;
    std::error_code trouble;
    if (fs::exists(path, trouble)) return path.string();
  }
  throw Error(name.size() > 300 ? name.substr(0, 60) + "..." : name, "there is no such file",
              "give the path of a file, or a shipped one such as models/valley_v8.json");
}

double read_option(const std::string& text, Quantity quantity, const char* option) {
  return of_option(option, [&] { return parse_quantity(text, quantity); });
}

double read_option(const std::string& text, const QuantityRange& range, const char* option) {
  return within_range(read_option(text, range.quantity, option), range, option);
}

void add_threads(CLI::App& command, int& threads, const char* words) {
  command.add_option("--threads", threads, words)->capture_default_str()->check(CLI::Range(0, most_threads));
}

std::string wrapped(const std::string& text, const std::string& indent) {
  constexpr std::size_t width = 96;
  std::istringstream words(text);
  std::string line = text.substr(0, std::min(text.find_first_not_of(' '), text.size())), all, word;
  for (bool first = true; words >> word; first = false) {
    if (!first && line.size() + 1 + word.size() > width)
      all += line + "\n", line = indent + word;
    else
      line += (first ? "" : " ") + word;
  }
  return all + line + "\n";
}

namespace {

/// Everything that the command printed is written by now, or the exit code says that it is not: the disk is full, or
/// nobody reads the pipe.
int with_output_written(int code) {
  if (std::cout.flush()) return code;
  std::cerr << "railseep: standard output: the answer could not be written whole; check that the disk has room and "
               "that somebody reads it.\n";
  return exit_bad_input;
}

}  // namespace

}  // namespace railseep

int main(int argc, char** argv) {
  using namespace railseep;
  std::signal(SIGPIPE, SIG_IGN);  // a write to a pipe that nobody reads fails, and is told as any other
  CLI::App program{"railseep: find a high-pressure oil leak from what the crank shows"};
  program.require_subcommand(1);
  program.set_version_flag("--version", program_name());
  Run run;
  add_crank(program, run);
  add_start(program, run);
  add_idle(program, run);
  add_hold(program, run);
  add_steps(program, run);
  add_faults(program, run);
  add_limit(program, run);
  add_curves(program, run);
  add_air(program, run);
  add_coil(program, run);
  add_logs(program, run);
  add_new(program, run);
  add_match(program, run);
  add_next(program, run);
  add_repaired(program, run);
  add_note(program, run);
  add_undo(program, run);
  add_report(program, run);
  add_cautions(program, run);
  add_proof(program, run);
  add_calibrate(program, run);
  add_study(program, run);
  add_exercise(program, run);
  add_shell(program, run);
  try {
    program.parse(argc, argv);
    return with_output_written(run());
  } catch (const CLI::ParseError& error) {
    return with_output_written(program.exit(error) == 0 ? exit_done : exit_usage);
  } catch (const Error& error) {
    std::cerr << "railseep: " << error.what() << "\n";
    return exit_bad_input;
  } catch (const std::bad_alloc&) {
    std::cerr << "railseep: memory: there is not enough for this; close other programs, or give shorter logs.\n";
    return exit_bad_input;
  } catch (const std::exception& error) {
    std::cerr << "railseep: " << error.what() << "\n";
    return exit_bad_input;
  }
}
