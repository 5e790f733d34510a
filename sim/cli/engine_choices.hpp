#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "channel/trace.hpp"
#include "circuit/faults.hpp"
#include "cli/output.hpp"
#include "procedure/condition.hpp"

namespace railseep {

/// An engine, what is wrong with it, and the state of the world: the same options for every procedure.
struct EngineChoices {
  std::string circuit, oil, oil_temperature = "20 degC", speed, battery = "10.5 V", rested_battery, rest_air = "3 %",
                            rest_time = "0 s";
  std::vector<std::string> faults;
};

void add_circuit(CLI::App& command, std::string& circuit);
void add_faults_option(CLI::App& command, std::vector<std::string>& faults);
void add_rested_battery(CLI::App& command, std::string& volts);

/// Circuit, oil, speed, battery, rest and faults. What `speed` holds beforehand is its default; empty: what starter and
/// battery make of it.
void add_engine_options(CLI::App& command, EngineChoices& choices);

/// What they name. @throws Error naming the option
struct ChosenEngine {
  Circuit healthy, circuit;
  std::vector<Fault> faults;
  Condition condition;
};
ChosenEngine chosen_engine(const EngineChoices& choices);

/// "--rested-battery" as a share of a healthy battery's volts. @throws Error
double rested_share(const std::string& volts, const Circuit& circuit);

/// A time as an option, above 0 and up to so many seconds [s]. @throws Error that says why no longer
double read_duration(const std::string& text, const char* option, double longest, const char* why);

/// Circuit, oil and faults in one line each. @param sealed the faults are left out
void print_engine(std::ostream& text, const ChosenEngine& engine, const ShownUnits& units, bool sealed);
Json engine_json(const ChosenEngine& engine, bool sealed);

/// The curves of a procedure: where they go.
struct CurveChoices {
  std::string trace, plot;
  bool sealed = false;
};
void add_curve_options(CLI::App& command, CurveChoices& choices);
void add_curve_files(CLI::App& command, CurveChoices& choices);  // without --sealed

/// What a scan tool would show of a trace: nothing that only the computation knows, so that no header gives a fault
/// away.
Trace as_logged(const Trace& trace);

/// On a terminal a sketch of pressure and duty; CSV and picture where they are asked for.
void give_curves(Output& out, const CurveChoices& choices, const Trace& trace, const std::string& title);

}  // namespace railseep
