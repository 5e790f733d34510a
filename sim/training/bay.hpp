#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "channel/trace.hpp"
#include "decide/check.hpp"
#include "training/fault_table.hpp"

namespace railseep {

/// How the engine stands at this minute.
struct BayState {
  double oil_temperature = cold_oil;  // [K]
  double battery = 1;                 // rested voltage as a share of the healthy one [-]
  double air_left = 0;                // in the passages since they were opened, share of their volume [-]
  double starter_heat = 0;            // seconds of cranking that have not cooled yet [s]
  bool pressure = false;              // oil may still stand under pressure behind the check valves
};

/// What one crank showed.
struct CrankShown {
  double plateau = 0, peak = 0;  // as the tool shows them, gauge [Pa]
  double duty = 0;               // at the end [-]
  double speed = 0;              // [rad/s]
  double battery = 0;            // at the module [V]
  bool started = false;
  Trace log;  // as a tool samples it, noise and steps in it
};

/// What a check showed.
struct CheckShown {
  std::size_t column = 0;       // of Forecast::outcomes
  std::optional<double> value;  // of a reading, SI
  double speed = 0;             // share of a healthy cranking speed; NaN where nothing was cranked
};

/// The broken engine in the bay. What it shows is computed for the condition of that minute; noise, and its own
/// departures from the circuit file, come from the seed: the same seed and the same actions show the same.
class Bay {
 public:
  static constexpr double ambient = cold_oil;         // [K]
  static constexpr double cooling_time = 4 * 3600.0;  // time constant of the oil, assumed [s]
  static constexpr double drain = 0.001;              // of the rested voltage, a second of cranking: assumed [1/s]
  static constexpr double starter_cooling = 0.25;     // seconds of cranking that cool in a second, assumed [-]
  static constexpr double air_after_opening = 0.15;   // assumed [-]
  static constexpr double crank_out = 8;              // cranking clears that air with this time constant, assumed [s]

  /// @param elsewhere the engine does not start for a cause that is not on its oil side
  Bay(const FaultTable& table, std::vector<Fault> faults, bool elsewhere, std::uint64_t seed, BayState state);

  const BayState& state() const { return state_; }
  const std::vector<Fault>& faults() const { return faults_; }
  bool elsewhere() const { return elsewhere_; }

  void pass(double seconds);  // the oil cools, the starter too
  void warm(double temperature) { state_.oil_temperature = temperature; }
  void charge() { state_.battery = 1; }
  void release() { state_.pressure = false; }
  void let_air_in() { state_.air_left = air_after_opening; }

  double speed_share() const;  // of a healthy cranking speed at this oil temperature, by the batteries alone [-]

  /// @param number of the action: each has noise of its own
  CrankShown crank(double seconds, int number);
  CheckShown check(const Forecast& forecast, int number);
  std::vector<Fault> look_behind(const std::string& group, int number) const;

  /// Does it start so, on good batteries, cranked as long as a driver does?
  bool starts(double oil_temperature) const;

  void cure(const std::string& place, const std::vector<std::string>& kinds);
  void add(const Fault& fault) { faults_.push_back(fault); }
  bool mishap(double chance, int number) const;  // of something done at a place that was sound

 private:
  Condition condition() const;

  const FaultTable& table_;
  Circuit engine_;  // this engine when nothing is wrong with it
  std::vector<Fault> faults_;
  bool elsewhere_;
  std::uint64_t seed_;
  BayState state_;
};

}  // namespace railseep
