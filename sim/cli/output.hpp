#pragma once

#include <CLI/CLI.hpp>
#include <initializer_list>
#include <ostream>
#include <string>

#include "log/trace_csv.hpp"
#include "quantity/json_fields.hpp"
#include "words/shown_units.hpp"

namespace railseep {

/// Units, and how an answer is given: the same options mean the same with every command.
struct OutputChoices {
  std::string wanted_units;
  bool metric = false, json = false, quiet = false, verdict = false, overwrite = false;

  /// Those that are wanted: by option, by RAILSEEP_UNITS, by the settings that the window shares, or psi, degC, mm and
  /// cm3/s. @throws Error
  ShownUnits units() const;
};

void add_unit_options(CLI::App& command, OutputChoices& choices);
void add_json(CLI::App& command, OutputChoices& choices);  // and --quiet
void add_quiet(CLI::App& command, OutputChoices& choices);
void add_overwrite(CLI::App& command, OutputChoices& choices);
void add_verdict(CLI::App& command, OutputChoices& choices, const char* yes);

/// --units, --metric, --json and --quiet.
void add_output_options(CLI::App& command, OutputChoices& choices);

/// What a command answers that a script may ask for by its exit code.
enum class Answered { yes, no, open };

/// The way out of a command: text for people, one object for machines, files. A file called "-" is standard output, and
/// then, as with --json, the text for people is left out.
class Output {
 public:
  /// @param files names of the files that the command was asked for
  Output(const OutputChoices& choices, std::initializer_list<std::string> files);

  /// The text for people.
  std::ostream& text();

  /// Is the text for people wanted?
  bool speaks() const { return speaks_; }
  const ShownUnits& units() const { return units_; }
  UnitOf unit_of() const;

  /// "512 psi" in the units that are wanted.
  std::string shown(double si, Quantity quantity, std::string_view hint = {}, int digits = 3) const {
    return format_quantity(si, quantity, units_.unit(quantity, hint), digits);
  }

  /// The object for machines, where it is asked for. Its kind has a schema in models/results.
  void json(const Json& object) const;

  /// Writes a file, unless no name is given, and says so. @param what "curves". @throws Error
  void file(const std::string& what, const std::string& path, const std::string& text);

  /// The exit code of a verdict: 0, unless --verdict asks for more.
  int code(Answered answer) const;

 private:
  const OutputChoices& choices_;
  ShownUnits units_;
  bool speaks_;
  std::ostream nothing_{nullptr};
};

/// {"railseep": KIND, "version": 1, "program": ...}: how each object for machines begins.
Json result_head(const char* kind);

}  // namespace railseep
