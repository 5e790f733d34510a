#pragma once

#include <string>
#include <vector>

#include "after/shortfalls.hpp"
#include "after/soundness.hpp"
#include "decide/decide.hpp"
#include "job/job.hpp"
#include "match/match.hpp"
#include "words/shown_units.hpp"

// What a match and a decision say, in the sentences of a workshop. The command line, the window and the report say the
// same, and nothing here speaks of numbers that a shop has no use for.

namespace railseep {

/// One line a log: at which oil temperature, how many readings, where the pressure ends, and the duty; then what is
/// known besides logs.
std::vector<std::string> logs_used(const Circuit& circuit, const Evidence& evidence, const ShownUnits& units);

/// What is said before any fault is named: that no fault matters, or that the logs tell nothing. Empty: neither.
std::vector<std::string> verdict_lines(const MatchResult& result, const Soundness& sound);

/// What is most likely wrong, by the way oil is lost, before any place: "Oil is lost as through a hole of 0.67 mm ...".
/// The first line says so when the evidence does not suffice to act upon.
std::vector<std::string> in_short(const Circuit& circuit, const MatchResult& result, const Observations& observations,
                                  const ShownUnits& units);

/// What may be wrong behind one cover, or in one piece of work.
struct Whereabouts {
  std::string what;        // "jumper tube seal (6), injector top seal (6)"
  double probability = 0;  // of all of it together [-]
  std::string behind;      // "valve cover"; of two faults at once both; empty: nothing to be opened
  double labour = 0;       // to open it [s]; 0: nothing is opened
};

/// Where it is, by what is opened, most probable first.
std::vector<Whereabouts> whereabouts(const Belief& belief);

/// One outcome of the next step: what is seen, how likely that is, what it means and what follows.
struct StepOutcome {
  std::string seen, says, then;
  double probability = 0;
};

/// What to do next: a check, or opening something.
struct NextStep {
  std::string title;  // "Shop air into the rail, regulator not energised: 45 min, 90 EUR"
  std::string how;    // in a sentence or two
  std::string why;    // what it spares
  std::vector<std::string> tools;
  std::vector<std::string> cautions;  // procedures whose cautions hold
  std::vector<StepOutcome> outcomes;
};

NextStep next_step(const Decision& decision);

/// "1. left valve cover 2.3 h, then 2. regulator ...": what to open in which order when nothing more is checked.
std::string opening_order(const Decision& decision);

/// How far all that can be trusted, and what would make it surer.
std::vector<std::string> how_sure(const Circuit& circuit, const MatchResult& result, const Observations& observations);

/// Whether a second fault is needed to explain the logs, as far as that was looked at.
std::string second_fault_words(const MatchResult& result);

/// "hole 0.67 mm (0.59 to 0.74 mm)": the sizes of a fit with the middle 90 %.
std::string severity_words(const FaultFit& fit, const ShownUnits& units);

}  // namespace railseep
