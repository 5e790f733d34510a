#pragma once

#include <optional>
#include <vector>

#include "channel/trace.hpp"
#include "circuit/circuit.hpp"
#include "procedure/condition.hpp"
#include "solve/rosenbrock.hpp"

namespace railseep {

/// How a crank is computed and what of it is kept.
struct CrankOptions {
  double duration = 6;               // [s]
  double output_interval = 0.02;     // [s], used when output_times is empty
  std::vector<double> output_times;  // rising [s]
  bool pressure_only = false;        // keep the shown pressure alone: for thousands of cranks
  double tolerance = 2e-7;           // of the pressures in one step, relative; keeps a whole crank within 1e-5
  std::optional<Profile> duty;       // measured duty; without it the circuit's own control module sends it
  std::optional<double> wanted;      // gauge [Pa] that the module is told to hold, instead of its map
  double pulse = 0;                  // injectors are held open so long [s]; 0: injection is off
  bool ripple = false;               // the pump delivers piston by piston: many more steps
};

struct CrankResult {
  Trace trace;
  Counters counters;
};

/// The starter turns the engine; injection stays off unless a pulse is given.
/// @throws Error when the circuit has no pressure sensor, or the oil side cannot be solved (naming time, node and
/// reason)
CrankResult crank(const Circuit& circuit, const Condition& condition, const CrankOptions& options = {});

/// What a technician reads off a crank. Pressures as the sensor shows them, gauge [Pa].
struct CrankSummary {
  double peak = 0;
  double plateau = 0;                    // mean over the last fifth
  std::optional<double> time_to_enable;  // [s] until the enable pressure is shown
  double duty = 0;                       // mean over the last fifth [-]
  bool injection_enabled = false;        // at some time, position known and pressure up
};
CrankSummary summarise(const Circuit& circuit, const Trace& trace);

/// Where the pump's flow goes at the end of a crank: mean volume flow over the last fifth [m3/s], at the pressure of
/// the node it leaves.
struct OilBalance {
  double displaced = 0;  // what the pump would deliver without clearances
  double slip =
      0;  // of it, creeps back inside the pump, never came in through its screen, or made room for air that expanded
  struct Share {
    std::string name;
    double flow;
  };
  std::vector<Share> uses;  // links into a tank: regulator, injectors, leaks
  double stored = 0;        // what is left: compresses oil and air
};
OilBalance balance(const Circuit& circuit, const Trace& trace);

}  // namespace railseep
