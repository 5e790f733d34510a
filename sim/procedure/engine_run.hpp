#pragma once

#include "drive/coil.hpp"
#include "drive/control_module.hpp"
#include "drive/starter.hpp"
#include "procedure/integration.hpp"
#include "procedure/recorder.hpp"

namespace railseep {

/// How a run is computed.
struct RunOptions {
  double output_interval = 0.05;  // [s]
  double longest = 120;           // of all that is recorded [s]
  double tolerance = 1e-6;        // of the pressures in one step, relative
};

/// An engine that may start: starter, control module, coil and injectors around its oil side. Procedures say what is
/// done to it.
///
/// Injection begins once the module allows it (position known, enable pressure shown); the engine catches after it has
/// been injecting for `catch_time` with at least the hold pressure really there; it then runs up to idle, and stalls
/// when the pressure stays below the hold pressure for `stall_time`. What it does follows from the pressure, nothing is
/// scripted. Engine speed is one time constant to its goal. Source: enable and hold pressures are circuit data; the
/// times below are assumed. Leaves out: fuel, load, misfire of single cylinders.
class EngineRun {
 public:
  static constexpr double catch_time = 0.6, stall_time = 0.3;       // [s]
  static constexpr double run_up_time = 0.4, run_down_time = 0.25;  // time constants of the speed [s]
  static constexpr double charging_voltage = 13.8;                  // with the engine running [V]

  EngineRun(const Circuit& circuit, const Condition& condition, const RunOptions& options);

  /// Turns the starter until the engine runs, at most so long [s]. @return time until it ran up, or nothing
  std::optional<double> crank(double longest);

  /// Lets it run so long, while the oil warms at a rate [K/s] towards an end. @return false: it stalled (and stands)
  bool run(double duration, double warm_rate = 0, double warm_end = 0);

  void set_goal(double speed) { goal_ = speed; }  // accelerator: engine speed to run at [rad/s]
  void command(std::optional<double> wanted) {
    commanded_ = wanted;
  }  // tool: pressure the module is told to hold, gauge [Pa]

  /// Key off: coil and injectors dead, the engine runs down; goes on recording.
  void key_off(double duration);

  /// Stands for so long [s], unrecorded, as the condition says: oil drains back; then it is ready to crank again.
  void stand(double rest_time);

  bool running() const { return phase_ == Phase::running; }
  double oil_temperature() const { return side_.network().oil().temperature; }
  double time() const { return integration_.time(); }
  double shown() const { return side_.shown(integration_.state()); }
  double duty() const { return side_.duty(time()); }

  Trace take() { return recorder_.take(); }

 private:
  enum class Phase { stopped, cranking, running };

  void sample();
  void advance(double t_end);
  void set_speed_towards(double goal, double time_constant);
  void decide(double shown, double actual);
  bool injectors_work() const;

  Circuit circuit_;
  Condition condition_;
  OilSide side_;
  Integration integration_;
  ControlModule module_;
  WarmingCoil coil_;
  Recorder recorder_;
  Phase phase_ = Phase::stopped;
  bool injecting_ = false;
  double since_crank_ = 0, since_injection_ = 0, below_hold_ = 0;  // [s]
  double goal_;
  double cranking_speed_ = 0;
  std::optional<double> commanded_;
};

}  // namespace railseep
