#include <exception>
#include <filesystem>
#include <iostream>
#include <sstream>

#include "cli/commands.hpp"
#include "quantity/error.hpp"

namespace railseep {

std::string data_file(const std::string& name) {
  namespace fs = std::filesystem;
  for (const char* folder : {"", RAILSEEP_SOURCE_DATA_DIR, RAILSEEP_INSTALLED_DATA_DIR}) {
    const fs::path path = fs::path(folder) / name;
    if (fs::exists(path)) return path.string();
  }
  throw Error(name, "there is no such file", "give the path of a file, or a shipped one such as models/valley_v8.json");
}

double read_option(const std::string& text, Quantity quantity, const char* option) {
  try {
    return parse_quantity(text, quantity);
  } catch (const Error& error) {
    throw error.within(option);
  }
}

std::string pressure(double p, bool metric) { return format_quantity(p, Quantity::pressure, metric ? "MPa" : "psi", 3); }

std::string wrapped(const std::string& text, const std::string& indent) {
  constexpr std::size_t width = 96;
  std::istringstream words(text);
  std::string line = text.substr(0, std::min(text.find_first_not_of(' '), text.size())), all, word;
  for (bool first = true; words >> word; first = false) {
    if (!first && line.size() + 1 + word.size() > width) all += line + "\n", line = indent + word;
    else line += (first ? "" : " ") + word;
  }
  return all + line + "\n";
}

std::string percent(double share) {
  if (share < 0.005) return "<1 %";
  return format_quantity(share, Quantity::ratio, "%", share < 0.1 ? 1 : 2);
}

std::string free_name(const std::string& wanted) {
  namespace fs = std::filesystem;
  const fs::path path(wanted);
  fs::path candidate = path;
  for (int i = 2; fs::exists(candidate); ++i)
    candidate = path.parent_path() / (path.stem().string() + "-" + std::to_string(i) + path.extension().string());
  return candidate.string();
}

}  // namespace railseep

int main(int argc, char** argv) {
  using namespace railseep;
  CLI::App program{"railseep: find a high-pressure oil leak from what the crank shows"};
  program.require_subcommand(1);
  program.set_version_flag("--version", "railseep 0.1.0");
  Run run;
  add_crank(program, run);
  add_faults(program, run);
  add_limit(program, run);
  add_curves(program, run);
  add_air(program, run);
  add_coil(program, run);
  add_logs(program, run);
  add_match(program, run);
  add_next(program, run);
  add_proof(program, run);
  add_calibrate(program, run);
  add_study(program, run);
  try {
    program.parse(argc, argv);
    return run();
  } catch (const CLI::ParseError& error) {
    return program.exit(error) == 0 ? exit_done : exit_usage;
  } catch (const Error& error) {
    std::cerr << "railseep: " << error.what() << "\n";
    return exit_bad_input;
  } catch (const std::exception& error) {
    std::cerr << "railseep: " << error.what() << "\n";
    return exit_bad_input;
  }
}
