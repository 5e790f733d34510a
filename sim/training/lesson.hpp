#pragma once

#include <optional>
#include <string>
#include <vector>

#include "channel/trace.hpp"
#include "circuit/circuit.hpp"
#include "words/shown_units.hpp"

namespace railseep {

/// One state of an engine that a class is shown, and what is asked before it happens.
struct LessonState {
  std::string title, question, why;
  std::vector<std::string> faults;  // "left rail front end plug: hole 0.7 mm"
  double oil_temperature = 363.15;  // [K]
  std::optional<double> speed;      // cranked at [rad/s]; not told: what the starter makes of it
  double seconds = 6;               // cranked so long [s]
  bool isolated = false;            // both rails blocked
  bool air = false;                 // not cranked: shop air, regulator energised and not
};

/// A short sequence of states with a question to each (scenarios/exercises/lesson.schema.json).
struct Lesson {
  std::string title, opening, circuit;
  std::vector<LessonState> states;
};

/// @throws Error with file, place, found, expected
Lesson read_lesson(const std::string& path);

/// What the model shows of a state.
struct LessonShown {
  std::vector<std::string> lines;
  std::optional<Trace> trace;  // of the crank; none: shop air
};

/// @throws Error for a fault that the circuit cannot have
LessonShown what_happens(const Circuit& circuit, const LessonState& state, const ShownUnits& units = {});

}  // namespace railseep
