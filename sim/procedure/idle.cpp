#include "procedure/idle.hpp"

#include "drive/control_module.hpp"
#include "procedure/engine_run.hpp"

namespace railseep {

CrankResult idle(const Circuit& given, const Condition& condition, CrankOptions options) {
  Circuit circuit = given;
  circuit.engine.cranking_speed = 1;  // the starter has no part in it
  Condition running = condition;
  running.speed = Profile(circuit.control.idle_speed);
  running.battery = Profile(EngineRun::charging_voltage);
  ControlModule module(circuit.control, condition.oil_temperature);
  module.observe(condition.oil_temperature, circuit.control.idle_speed, true);
  if (!options.wanted) options.wanted = module.wanted();
  if (circuit.engine.synchronised > 0.5) options.pulse = circuit.control.idle_pulse;
  return crank(circuit, running, options);
}

}  // namespace railseep
