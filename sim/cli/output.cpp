#include "cli/output.hpp"

#include <algorithm>
#include <iostream>

#include "cli/commands.hpp"
#include "quantity/error.hpp"
#include "words/letterhead.hpp"

namespace railseep {

ShownUnits OutputChoices::units() const {
  ShownUnits units = read_units(settings_folder() / "settings.json");
  if (!wanted_units.empty()) units = of_option("--units", [&] { return parse_units(wanted_units, units); });
  if (metric) units.pressure = "MPa";
  return units;
}

void add_unit_options(CLI::App& command, OutputChoices& choices) {
  command.add_flag("--metric", choices.metric, "MPa instead of psi: short for --units MPa");
  command
      .add_option("--units", choices.wanted_units,
                  "Units that are shown: words of psi bar MPa, degC degF, mm in, cm3/s L/min; otherwise those of the "
                  "settings")
      ->envname("RAILSEEP_UNITS");
}

void add_json(CLI::App& command, OutputChoices& choices) {
  command.add_flag("--json", choices.json, "Print the result for machines, in SI units");
  add_quiet(command, choices);
}

void add_quiet(CLI::App& command, OutputChoices& choices) {
  command.add_flag("--quiet", choices.quiet, "Print nothing but errors, and what was asked to go to -");
}

void add_overwrite(CLI::App& command, OutputChoices& choices) {
  command.add_flag("--overwrite", choices.overwrite, "Write over existing files, which are otherwise kept");
}

void add_verdict(CLI::App& command, OutputChoices& choices, const char* yes) {
  command.add_flag("--verdict", choices.verdict, std::string("Exit code: 0 ") + yes + ", 10 not, 11 it cannot be said");
}

void add_output_options(CLI::App& command, OutputChoices& choices) {
  add_unit_options(command, choices);
  add_json(command, choices);
}

Output::Output(const OutputChoices& choices, std::initializer_list<std::string> files)
    : choices_(choices), units_(choices.units()), speaks_(!choices.json && !choices.quiet) {
  const auto to_standard_output = std::ranges::count(files, "-");
  if (to_standard_output + (choices.json ? 1 : 0) > 1)
    throw Error("-", "more than one thing would go to standard output", "give the others the name of a file");
  if (to_standard_output > 0) speaks_ = false;
}

std::ostream& Output::text() { return speaks_ ? std::cout : nothing_; }

UnitOf Output::unit_of() const {
  return [units = units_](Quantity quantity) { return units.unit(quantity); };
}

void Output::json(const Json& object) const {
  if (choices_.json) std::cout << object.dump(2, ' ', false, Json::error_handler_t::replace) << "\n";
}

void Output::file(const std::string& what, const std::string& path, const std::string& text) {
  if (path.empty()) return;
  if (path == "-") {
    std::cout << text;
    return;
  }
  write_text(path, text, choices_.overwrite);
  this->text() << what << ": " << path << "\n";
}

int Output::code(Answered answer) const {
  if (!choices_.verdict || answer == Answered::yes) return exit_done;
  return answer == Answered::no ? exit_verdict_no : exit_verdict_open;
}

Json result_head(const char* kind) { return {{"railseep", kind}, {"version", 1}, {"program", program_name()}}; }

}  // namespace railseep
