#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.hpp"
#include "circuit/faults.hpp"
#include "procedure/air_test.hpp"
#include "quantity/error.hpp"
#include "sound.hpp"
#include "worker.hpp"

namespace railseep::gui {

/// What the air test is asked to show.
struct AirQuestion {
  std::vector<std::string> faults;         // as texts of the circuit's language
  double pressure = 100 * 6894.757293168;  // of the shop regulator, gauge [Pa]
  double purge_time = 60;                  // air on before one listens [s]
  std::string ear = "ear";
  std::string feed;  // node; empty: where the pressure sensor sits
  bool coil_connected = true;
  bool operator==(const AirQuestion&) const = default;
};

/// The shop-air test as it would go with the faults that are set in the circuit, and the stopwatch and notes of the
/// real one.
struct AirBench {
  AirQuestion question;
  std::optional<AirQuestion> asked;
  std::shared_ptr<const AirTestResult> result;
  std::optional<Error> trouble;
  bool energised = false;  // which pass is looked at
  std::string point;       // listened at
  bool listening = false;  // the hiss at the point is played
  double volume = 0.4;
  std::shared_ptr<const AirTestResult> heard;  // what is played comes from this, ...
  std::string heard_at;                        // ... this point and this pass; empty: nothing is played
  bool heard_energised = false;
  bool timing = false;
  double watch = 0;  // [s]
  double flow = 0;   // read off a meter in the hose, at the standard state [m3/s]
};

/// Asks the worker when the question changed.
void ask(AirBench& bench, const std::shared_ptr<const Circuit>& circuit, const std::vector<Fault>& faults,
         Worker& worker);

/// The test as the bench stands.
AirTestOptions options_of(const AirQuestion& question);

/// The pass that is looked at, nullptr while there is none.
const AirPass* shown_pass(const AirBench& bench);

/// To be called once a frame: plays the hiss at the point listened at, another one when that changes, nothing while the
/// bench is not in sight.
void follow_ear(AirBench& bench, Sound& sound, bool in_sight, Worker& worker);

/// Where a listening point is drawn on the sketch, within 0 to 1: by the words of its name.
struct SketchPlace {
  double x, y;
};
std::vector<SketchPlace> sketch_places(const std::vector<ListeningPoint>& points);

}  // namespace railseep::gui
