#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "circuit/faults.hpp"
#include "plot.hpp"
#include "procedure/crank.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// Everything a slider can move.
struct Question {
  std::vector<Fault> faults;
  std::string oil;                  // grade
  double oil_temperature = 363.15;  // [K]
  double speed = 18;                // [rad/s]
  double battery = 10.5;            // [V]
  double rest_air = 0.03;           // [-]
  double rest_time = 0;             // [s]
  double duration = 6;              // [s]
};
bool operator==(const Question& a, const Question& b);

/// The answer to one question.
struct Curve {
  Question question;
  Trace trace;
  CrankSummary summary;
  OilBalance balance;
  double wait = 0;  // from the question to the answer [s]
};

inline constexpr std::size_t most_pins = 4;

/// What-if: a question that sliders change, and its latest answers.
struct WhatIf {
  Question question;
  std::optional<Question> asked;
  std::shared_ptr<const Curve> now, before;
  std::vector<std::shared_ptr<const Curve>> pins;  // kept in sight, each with the conditions it was computed for
  std::optional<double> fixed_most;                // the pressure axis ends here, whatever is drawn [Pa]
  std::vector<Question> past, future;              // for undo; the last of the past is the present
  std::string trouble;                             // why the last question has no answer
  bool in_motion = false;                          // a slider is being dragged
  double time = 6;                                 // shown in the drawing [s]
  bool playing = false;
  TimeAxis axis;
  PlotState pressure_plot, duty_plot;
  std::string place;  // chosen in the drawing
};

/// How a crank is computed for curves on screen: coarser than for numbers in a report, but not visibly so.
CrankOptions screen_options(double duration);

Curve answer(const Circuit& circuit, const Question& question);

/// Asks the worker when the question changed since it was last asked; the curve before a drag stays as a ghost.
/// @param held a widget is being dragged
void ask(WhatIf& what_if, const std::shared_ptr<const Circuit>& circuit, Worker& worker, bool held);

/// To be called once a frame: makes an undo step of what changed, once no widget is held any more.
void note_question(WhatIf& what_if, bool held);
/// @return whether there was something to take back, or to do again
bool undo(WhatIf& what_if);
bool redo(WhatIf& what_if);

/// The question of a healthy engine under usual conditions.
Question healthy(const Circuit& circuit);

/// Opens a typical leak at a place that has none. @return whether it did
bool open_leak(WhatIf& what_if, const Circuit& circuit, const std::string& place);

/// The fault of a place, or nullptr.
Fault* find_fault(Question& question, const std::string& place);

/// Chooses the place after or before the chosen one, in the order of the circuit. @param way 1 or -1
void choose_neighbour(WhatIf& what_if, const Circuit& circuit, int way);

/// A fault of middling typical severity.
Fault typical_fault(const PossibleFault& possible);

}  // namespace railseep::gui
