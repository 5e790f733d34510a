#include "procedure/engine_run.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

namespace {

double coil_surroundings(const Circuit& circuit) {
  const int at = circuit.only<Regulator>();
  return at < 0 ? 293.15 : std::get<Regulator>(circuit.links[at].element).coil_temperature;
}

}  // namespace

EngineRun::EngineRun(const Circuit& circuit, const Condition& condition, const RunOptions& options)
    : circuit_(circuit),
      condition_(condition),
      side_(circuit, condition, options.tolerance),
      module_(circuit.control, condition.oil_temperature),
      recorder_(side_, Recorder::Keep::run, Recorder::even_times(options.output_interval, options.longest)),
      goal_(circuit.control.idle_speed),
      hottest_coil_(coil_surroundings(circuit)) {
  recorder_.set_wanted(module_.wanted());
  recorder_.set_coil_temperature(hottest_coil_);
  recorder_.record(0, side_.state());
}

std::optional<double> EngineRun::crank(double longest) {
  const Starter starter(circuit_.starter, side_.network().oil().viscosity, condition_.battery_charge);
  cranking_speed_ = circuit_.engine.cranking_speed * (condition_.speed.empty() ? starter.settled_speed() : condition_.speed.at(0));
  phase_ = Phase::cranking;
  since_crank_ = since_injection_ = below_hold_ = 0;
  injecting_ = false;
  const double begin = side_.time();
  while (phase_ == Phase::cranking && side_.time() < begin + longest) {
    const double voltage = condition_.speed.empty() ? starter.voltage(side_.speed(side_.time())) : condition_.battery.at(0);
    side_.set_battery(voltage, 0);
    set_speed_towards(cranking_speed_, circuit_.starter.run_up_time);
    sample();
  }
  if (phase_ != Phase::running) return std::nullopt;
  return side_.time() - begin;
}

bool EngineRun::run(double duration, double warm_rate, double warm_end) {
  constexpr double warm_step = 2;  // the oil is exchanged for warmer oil in such steps [K]
  const double end = side_.time() + duration;
  double owed = 0;
  while (phase_ == Phase::running && side_.time() < end) {
    side_.set_battery(charging_voltage, 0);
    set_speed_towards(goal_, run_up_time);
    sample();
    owed += warm_rate * circuit_.control.sample_time;
    if (owed < warm_step || oil_temperature() >= warm_end) continue;
    side_.set_oil(oil_of(circuit_, condition_.oil, std::min(oil_temperature() + owed, warm_end)));
    owed = 0;
  }
  return phase_ == Phase::running;
}

void EngineRun::key_off(double duration) {
  phase_ = Phase::stopped;
  injecting_ = false;
  side_.set_duty(0), side_.set_pulse(0), side_.set_battery(0, 0);
  const double end = side_.time() + duration;
  const OilSide::Take take = [&](double t, const Network::State& state) { return recorder_.record(t, state); };
  while (side_.time() < end) {
    const double t = side_.time(), speed = side_.speed(t);
    // Once it stands nothing is sampled any more, and the solver may take long steps.
    const double next = speed > 0 ? std::min(end, t + circuit_.control.sample_time) : end;
    if (speed > 0.1) set_speed_towards(0, run_down_time);
    else side_.set_speed(0, 0);
    side_.advance(next, recorder_.next_time(), take);
  }
}

void EngineRun::stand(double rest_time) {
  Condition standing = condition_;
  standing.rest_time = rest_time;
  standing.oil_temperature = oil_temperature();
  side_.stand(rest_time, standing_air(circuit_, side_.network().oil(), standing));
  recorder_.skip_to(side_.time());
  coil_ = Coil();
}

void EngineRun::set_speed_towards(double goal, double time_constant) {
  const double dt = circuit_.control.sample_time, now = side_.speed(side_.time());
  const double next = goal + (now - goal) * std::exp(-dt / time_constant);
  side_.set_speed(now, (next - now) / dt);
}

bool EngineRun::injectors_work() const {
  return std::any_of(circuit_.links.begin(), circuit_.links.end(), [](const Link& link) {
    const auto* injector = std::get_if<Injector>(&link.element);
    return injector && injector->shot_share > 0.05;
  });
}

void EngineRun::decide(double shown, double actual) {
  const ControlSettings& control = circuit_.control;
  const double dt = control.sample_time;
  const bool cranking = phase_ == Phase::cranking;
  since_crank_ += dt;
  if (cranking && !injecting_) injecting_ = circuit_.engine.synchronised > 0 && module_.enables_injection(since_crank_, shown);
  if (cranking && injecting_ && shown < control.hold_pressure) injecting_ = false;
  const bool burning = injecting_ && injectors_work() && actual >= control.hold_pressure;
  since_injection_ = burning ? since_injection_ + dt : 0;
  if (cranking && since_injection_ > catch_time) phase_ = Phase::running, below_hold_ = 0;
  if (phase_ != Phase::running) return;
  below_hold_ = burning ? 0 : below_hold_ + dt;
  if (below_hold_ > stall_time) phase_ = Phase::stopped, injecting_ = false;
}

void EngineRun::sample() {
  const ControlSettings& control = circuit_.control;
  const double shown = side_.shown(side_.state());
  decide(shown, side_.actual(side_.state()));
  module_.observe(oil_temperature(), side_.speed(side_.time()), phase_ == Phase::running);
  if (commanded_) module_.command(*commanded_);
  const double duty = module_.sample(shown);
  side_.set_duty(circuit_.engine.regulator_driver > 0 ? duty : control.least_duty);
  const double full = control.crank_pulse, idle = control.idle_pulse;
  side_.set_pulse(!injecting_ ? 0 : phase_ == Phase::cranking ? full : idle);
  recorder_.set_wanted(module_.wanted());
  side_.advance(side_.time() + control.sample_time, recorder_.next_time(),
                [&](double t, const Network::State& state) { return recorder_.record(t, state); });
  coil_.heat(side_.coil_power(side_.state()), control.sample_time);
  side_.set_coil_warming(coil_.warming());
  const double temperature = coil_surroundings(circuit_) + coil_.warming();
  hottest_coil_ = std::max(hottest_coil_, temperature);
  recorder_.set_coil_temperature(temperature);
}

}  // namespace railseep
